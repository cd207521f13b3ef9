"""Applying a processing day to the record, taking it back, and starting stopped work again."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from herd.accounts.models import Role
from herd.intake.days import judge_undo, undo_day
from herd.intake.models import DayState
from herd.intake.queries.report import report_of
from herd.intake.tasks import start_apply, start_work
from herd.office.access import OfficeRequest, needs
from herd.office.views.days import REVIEWED, day_of, sent_back
from herd.registry.services.refused import Refused


@needs(Role.OFFICE)
def apply(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Say exactly what would be written; posted, it is written."""
    day = day_of(request, day_id)
    away = sent_back(request, day, REVIEWED)
    if away:
        return away
    if request.method == "POST":
        start_apply(day, request.user)
        return redirect("office:day", day.pk)
    report = report_of(day)
    return render(
        request,
        "office/days/apply.html",
        {
            "here": "days",
            "day": day,
            "ready": report.ready,
            "totals": report.totals,
            "waiting": report.open_findings,
        },
    )


@needs(Role.OFFICE)
def undo(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Say whether the day can be taken back, and what stands in the way; posted, it is taken back."""
    day = day_of(request, day_id)
    if request.method != "POST":
        verdict = judge_undo(day)
        return render(request, "office/days/undo.html", {"here": "days", "day": day, "verdict": verdict})
    try:
        verdict = undo_day(day=day, person=request.user)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("office:day", day.pk)
    if verdict.is_possible:
        messages.success(request, f"“{day.name}” was taken back: {verdict.count} changes. It is in review again.")
        return redirect("office:day", day.pk)
    return render(request, "office/days/undo.html", {"here": "days", "day": day, "verdict": verdict})


@require_POST
@needs(Role.CREW)
def again(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Take up the work on a day that stopped; what was read so far is kept."""
    day = day_of(request, day_id)
    if day.state == DayState.FAILED:
        start_work(day)
    return redirect("office:day", day.pk)
