"""The chute page, its manifest and its service worker; all else it gets from the API."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from herd.chute.shell import manifest_of, shell, worker_script

# The camera reads barcodes of sample tubes; the page itself asks before it is used.
PERMISSIONS = "geolocation=(), microphone=(), camera=(self)"


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The page, the same for everyone: who may read what is told by the device's token."""
    return HttpResponse(shell().page, headers={"Permissions-Policy": PERMISSIONS, "Cache-Control": "no-cache"})


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """The manifest by which the page is put on a home screen."""
    return JsonResponse(
        manifest_of(), content_type="application/manifest+json", headers={"Cache-Control": "no-cache"}
    )


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, which reaches as far as the folder that it is served from."""
    return HttpResponse(worker_script(), content_type="text/javascript", headers={"Cache-Control": "no-cache"})
