"""The list of processing days, one day with its files and counts, and how far the work on it is."""

from collections.abc import Container
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.intake.models import (
    DayState,
    FieldFile,
    Finding,
    LineState,
    ProcessingDay,
    RowState,
    StagedRow,
)
from herd.intake.queries.report import FileCounts, progress_of, report_of
from herd.office.access import OfficeRequest, needs
from herd.office.daytables import days_table
from herd.office.exports import asked_way, hand_out
from herd.office.forms.days import DayForm, FilesForm
from herd.sync.queries import waiting_of

PAGE = 50
CHANGEABLE = frozenset({DayState.REVIEW, DayState.FAILED})
AT_REST = CHANGEABLE | {DayState.APPLIED}
REVIEWED = frozenset({DayState.REVIEW})


def day_of(request: OfficeRequest, day_id: UUID) -> ProcessingDay:
    """Return the outfit's processing day; another outfit's is not there (Http404)."""
    days = ProcessingDay.objects.select_related("group", "outfit", "made_by")
    return get_object_or_404(days, outfit=request.outfit, pk=day_id)


def files_of(day: ProcessingDay) -> QuerySet[FieldFile]:
    """The day's files without their bytes."""
    return FieldFile.objects.filter(day=day).defer("content")


def sent_back(request: OfficeRequest, day: ProcessingDay, states: Container[str]) -> HttpResponse | None:
    """Send to the day's page, with a sentence, unless the day is in one of these states."""
    if day.state in states:
        return None
    messages.warning(request, f"“{day.name}” is {day.get_state_display()}, so this can't be done now.")
    return redirect("office:day", day.pk)


@require_safe
@needs(Role.READER)
def day_list(request: OfficeRequest) -> HttpResponseBase:
    """The outfit's processing days, the latest first, PAGE at a time."""
    # What devices sent makes a day for each date; they are told by device, beside the days that people opened.
    days = _counted(request.outfit).filter(device_id=None)
    if way := asked_way(request):
        return hand_out(request, way, days_table(days.iterator(chunk_size=500)))
    start = _start(request.GET.get("from", ""))
    shown = list(days[start : start + PAGE + 1])
    return render(
        request,
        "office/days/list.html",
        {
            "here": "days",
            "days": shown[:PAGE],
            "older": start + PAGE if len(shown) > PAGE else None,
            "newer": max(0, start - PAGE) if start else None,
            "from_devices": waiting_of(request.outfit),
        },
    )


def _start(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 7 else 0


def _counted(outfit: Outfit) -> QuerySet[ProcessingDay]:
    """The days with their open findings, files and lines, each figure counted by itself."""
    findings = Finding.objects.filter(day=OuterRef("pk"), is_open=True)
    files = FieldFile.objects.filter(day=OuterRef("pk"))
    return (
        ProcessingDay.objects.filter(outfit=outfit)
        .select_related("group")
        .annotate(
            waiting=_one(findings, Count("pk")),
            file_count=_one(files, Count("pk")),
            line_count=_one(files, Sum("row_count")),
        )
    )


def _one(rows: QuerySet[Any], figure: Count | Sum) -> Coalesce:
    """One figure over all rows of a subquery, 0 where there are none."""
    found = rows.order_by().values("day").annotate(figure=figure).values("figure")
    return Coalesce(Subquery(found, output_field=IntegerField()), 0)


@require_safe
@needs(Role.READER)
def day_page(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """One day: how far it is, its files with their counts, and what can be done with it."""
    day = day_of(request, day_id)
    return render_day(request, day, FilesForm())


def render_day(request: OfficeRequest, day: ProcessingDay, files_form: FilesForm) -> HttpResponse:
    """The page of a day; `files_form` holds what was refused when files were added."""
    report = report_of(day)
    return render(
        request,
        "office/days/day.html",
        {
            "here": "days",
            "day": day,
            "files": _with_ready(day, report.files),
            "totals": report.totals,
            "ready": report.ready,
            "written": report.done,
            "progress": progress_of(day),
            "waiting": report.open_findings,
            "files_form": files_form,
            "day_form": DayForm(outfit=request.outfit, initial=_initial(day)),
            "may_change": day.state in CHANGEABLE,
            "is_applied": day.state == DayState.APPLIED,
        },
    )


def _initial(day: ProcessingDay) -> dict[str, object]:
    return {"name": day.name, "worked_on": day.worked_on, "group": day.group_id}


def _with_ready(day: ProcessingDay, counts: list[FileCounts]) -> list[tuple[FileCounts, int]]:
    """Each file's counts, with how many of its waiting lines need no person."""
    ready = StagedRow.objects.filter(day=day, state=RowState.WAITING, merged__state=LineState.CLEAR)
    by_file = dict(ready.order_by().values_list("file").annotate(Count("id")))
    return [(one, by_file.get(one.file.pk, 0)) for one in counts if one.file]


@require_safe
@needs(Role.READER)
def progress(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """How far the work is, as a piece of a page; once it is over the whole page is asked for again."""
    day = day_of(request, day_id)
    if not day.is_busy:
        return HttpResponse(status=204, headers={"HX-Refresh": "true"})
    return render(request, "office/days/_progress.html", {"day": day, "progress": progress_of(day)})
