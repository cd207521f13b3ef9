"""Bounds what a request may bring along, before any of it is read."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

SAYS = "That is more than is taken here: {most} MiB at most{unless}.\n"
MIB = 1024 * 1024


class BoundedBodies:
    """Refuses large bodies from visitors who are not signed in, and bodies beyond all bounds from anyone.

    Forms are read before a view is asked who may send them, so a stranger could fill the disk. The API knows its
    callers before it reads.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        sent = int(length) if length.isascii() and length.isdigit() else 0
        is_known = request.user.is_authenticated or request.path_info.startswith("/api/")
        most = settings.REQUEST_MAX_BYTES if is_known else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if sent > most:
            unless = "" if is_known else " without signing in"
            return HttpResponse(SAYS.format(most=most // MIB, unless=unless), status=413, content_type="text/plain")
        return self.get_response(request)
