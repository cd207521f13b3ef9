"""The cows that are due to calve."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.ownvalues import say_own
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.paging import page_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.models import Animal
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.due import DueCow, due_cows
from herd.reports.ownvalues import DUE

LONGEST_AHEAD = 365
COLUMNS = ("Visual tag", "EID", "Group", "Expected", "Earliest", "Latest", "How it was counted")
ABOUT = "Counted in plain days from services and days bred that were entered; a cow keeps her own calendar."


@dataclass(frozen=True, slots=True)
class DueLine:
    """One cow that is due."""

    cow: DueCow
    animal: Animal
    worn: Worn


@require_safe
@needs(Role.READER)
def due(request: OfficeRequest) -> HttpResponseBase:
    """The cows due in so many days, and those overdue; with `overdue=1` these alone."""
    outfit, today = request.outfit, today_of(request.outfit)
    days = _days(request.GET.get("days", ""))
    policies = policies_of(outfit)
    cows = due_cows(outfit, today, today + timedelta(days=days), policies)
    overdue = [one for one in cows if one.due.latest < today]
    is_overdue_only = request.GET.get("overdue") == "1"
    cows, own = overdue if is_overdue_only else cows, say_own(policies.used(), DUE)
    way = asked_way(request)
    if way:
        title = f"Overdue on {today}" if is_overdue_only else f"Due up to {today + timedelta(days=days)}"
        return hand_out(request, way, Table(title, COLUMNS, _due_rows(outfit, cows), f"{ABOUT} {own}"))
    page = page_of(request, cows)
    context = {
        "here": "reports",
        "today": today,
        "days": days,
        "longest": LONGEST_AHEAD,
        "page": page,
        "lines": list(_due_lines(outfit, page.rows)),
        "overdue": len(overdue),
        "is_overdue_only": is_overdue_only,
        "about": ABOUT,
        "own": own,
    }
    return render(request, "office/reports/due.html", context)


def _days(text: str) -> int:
    days = int(text) if text.isascii() and text.isdigit() and len(text) < 5 else 30
    return min(days, LONGEST_AHEAD)


def _due_lines(outfit: Outfit, cows: Sequence[DueCow]) -> Iterator[DueLine]:
    for some in in_steps(cows):
        ids = [one.animal_id for one in some]
        herd, worn = Animal.objects.of(outfit).select_related("group").in_bulk(ids), worn_by(outfit, ids)
        yield from (DueLine(one, herd[one.animal_id], worn[one.animal_id]) for one in some)


def _due_rows(outfit: Outfit, cows: Sequence[DueCow]) -> Iterator[Sequence[Cell]]:
    for one in _due_lines(outfit, cows):
        group, due = one.animal.group.name if one.animal.group else "", one.cow.due
        days = (due.expected, due.earliest, due.latest)
        yield visual_tag(one.worn), one.worn.eid, group, *days, f"{due.formula}; {due.source}"
