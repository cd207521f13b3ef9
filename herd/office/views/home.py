"""The head count at a glance, what waits for a person, and what was done last."""

from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.intake.models import DayState, ProcessingDay
from herd.ledger.models import Changeset
from herd.office.access import OfficeRequest, needs
from herd.office.today import today_of
from herd.registry.models import AnimalStatus
from herd.registry.queries.headcount import CLASSES, count_head

LAST = 8
WAITING_SHOWN = 20


@require_safe
@needs(Role.READER)
def home(request: OfficeRequest) -> HttpResponse:
    """The first page after signing in."""
    outfit = request.outfit
    count = count_head(outfit, today_of(outfit))
    away = [(AnimalStatus(status).label, head) for status, head in count.away.items()]
    context = {
        "here": "home",
        "count": count,
        "classes": [name for name in CLASSES if count.by_class.get(name)],
        "away": away,
        "is_empty": not count.total and not away,
        "waiting": _waiting(outfit),
        "last": Changeset.objects.filter(outfit=outfit)[:LAST],
    }
    return render(request, "office/home.html", context)


def _waiting(outfit: Outfit) -> list[ProcessingDay]:
    """Days not applied yet, each with its count of open findings as `open_findings`."""
    days = ProcessingDay.objects.filter(outfit=outfit).exclude(state=DayState.APPLIED)
    return list(days.annotate(open_findings=Count("findings", filter=Q(findings__is_open=True)))[:WAITING_SHOWN])
