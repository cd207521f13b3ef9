"""The report of a processing day, made for printing: what came in, what was done, what waits, who decided."""

from uuid import UUID

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.intake.queries.report import report_of
from herd.intake.review import queue
from herd.office.access import OfficeRequest, needs
from herd.office.daytables import report_table
from herd.office.exports import asked_way, hand_out
from herd.office.views.days import day_of


@require_safe
@needs(Role.READER)
def report(request: OfficeRequest, day_id: UUID) -> HttpResponseBase:
    """The day's report."""
    day = day_of(request, day_id)
    found = report_of(day)
    if way := asked_way(request):
        return hand_out(request, way, report_table(day, found))
    waiting = [(kind, count) for kind, count in queue(day) if count]
    return render(
        request,
        "office/days/report.html",
        {
            "here": "days",
            "day": day,
            "report": found,
            "counted": [(counts, 0) for counts in found.files],
            "waiting": waiting,
        },
    )
