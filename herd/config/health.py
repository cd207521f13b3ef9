"""Two plain answers for whoever watches the installation: it lives, and its database answers."""

from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe


@require_safe
def alive(request: HttpRequest) -> HttpResponse:
    """Answer 200 as long as the process serves at all."""
    return HttpResponse("ok\n", content_type="text/plain")


@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """Answer 200 where the database answers a question, else 503."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return HttpResponse("the database does not answer\n", status=503, content_type="text/plain")
    return HttpResponse("ready\n", content_type="text/plain")
