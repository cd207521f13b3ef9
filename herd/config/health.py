"""Plain answers for whoever watches the installation: it lives; its database answers and is of this version."""

from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

PLAIN = "text/plain"
_known: set[str] = set()


@require_safe
def alive(request: HttpRequest) -> HttpResponse:
    """Answer 200 as long as the process serves at all."""
    return HttpResponse("ok\n", content_type=PLAIN)


@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """Answer 200 where the database answers a question and is up to date, else 503 with the reason."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        if not is_up_to_date():
            return HttpResponse("the database is not up to date\n", status=503, content_type=PLAIN)
    except DatabaseError:
        return HttpResponse("the database does not answer\n", status=503, content_type=PLAIN)
    return HttpResponse("ready\n", content_type=PLAIN)


def is_up_to_date() -> bool:
    """Whether every migration of this version is in the database; asked until it is so, then known."""
    name = str(connection.settings_dict["NAME"])
    if name not in _known:
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            return False
        _known.add(name)
    return True
