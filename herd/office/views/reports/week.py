"""This week: what comes due, what waits for a person, what nobody looked at for long."""

from collections.abc import Sequence

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.weekitems import items_of


@require_safe
@needs(Role.READER)
def week(request: OfficeRequest) -> HttpResponseBase:
    """Everything of this week on a page."""
    today = today_of(request.outfit)
    items = items_of(request, today)
    way = asked_way(request)
    if way:
        rows: list[Sequence[Cell]] = [(one.count, one.what, one.more) for one in items]
        return hand_out(request, way, Table(f"This week, {today}", ("How many", "What", "More about it"), rows))
    return render(request, "office/reports/week.html", {"here": "reports", "items": items, "today": today})


@require_safe
@needs(Role.READER)
def block(request: OfficeRequest) -> HttpResponse:
    """The same as a piece of the first page."""
    items = items_of(request, today_of(request.outfit), with_findings=False)
    return render(request, "office/reports/week_block.html", {"items": items})
