"""The files of a processing day: add, look at every line, take out, and have back as they came."""

from uuid import UUID

from django.contrib import messages
from django.db.models import Count
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from herd.accounts.models import Role
from herd.intake.days import add_files, remove_file
from herd.intake.models import FieldFile, ProcessingDay, RowState, StagedRow
from herd.intake.tasks import start_work
from herd.office.access import OfficeRequest, needs
from herd.office.daytables import lines_table
from herd.office.exports import asked_way, hand_out
from herd.office.forms.days import FilesForm
from herd.office.views.day_new import say_refusals
from herd.office.views.days import AT_REST, CHANGEABLE, day_of, files_of, render_day, sent_back
from herd.registry.services.refused import Refused

ROWS = 100


def file_of(day: ProcessingDay, file_id: UUID) -> FieldFile:
    """Return the day's file without its bytes (Http404 where it has none such)."""
    return get_object_or_404(files_of(day), pk=file_id)


@require_POST
@needs(Role.CREW)
def add(request: OfficeRequest, day_id: UUID) -> HttpResponse:
    """Add files to a day and read them."""
    day = day_of(request, day_id)
    away = sent_back(request, day, AT_REST)
    if away:
        return away
    form = FilesForm(request.POST, request.FILES)
    if not form.is_valid():
        return render_day(request, day, form)
    try:
        add_files(day=day, files=form.cleaned_data["given"])
    except Refused as refused:
        form.add_error("uploads", str(refused))
        return render_day(request, day, form)
    start_work(day)
    say_refusals(request, form.cleaned_data["refusals"])
    return redirect("office:day", day.pk)


@needs(Role.CREW)
def remove(request: OfficeRequest, day_id: UUID, file_id: UUID) -> HttpResponse:
    """Ask whether a file shall leave the day; posted, it does."""
    day = day_of(request, day_id)
    file = file_of(day, file_id)
    away = sent_back(request, day, CHANGEABLE)
    if away:
        return away
    if request.method != "POST":
        return render(request, "office/days/remove.html", {"here": "days", "day": day, "file": file})
    try:
        remove_file(file=file)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("office:day", day.pk)
    start_work(day)
    messages.success(request, f"“{file.name}” was taken out of the day.")
    return redirect("office:day", day.pk)


@require_safe
@needs(Role.READER)
def download(request: OfficeRequest, day_id: UUID, file_id: UUID) -> HttpResponse:
    """The file byte for byte; always saved, never shown, since nobody knows what is in it."""
    day = day_of(request, day_id)
    file = get_object_or_404(FieldFile, day=day, pk=file_id)
    response = HttpResponse(bytes(file.content), content_type="application/octet-stream")
    response.headers["Content-Disposition"] = content_disposition_header(True, file.name) or "attachment"  # noqa: FBT003
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response


@require_safe
@needs(Role.READER)
def rows(request: OfficeRequest, day_id: UUID, file_id: UUID) -> HttpResponseBase:
    """Every line of a file beside what was read in it and how it ended, ROWS at a time."""
    day = day_of(request, day_id)
    file = file_of(day, file_id)
    state = request.GET.get("state", "")
    state = state if state in RowState.values else ""
    shown = StagedRow.objects.filter(file=file, **({"state": state} if state else {}))
    if way := asked_way(request):
        return hand_out(request, way, lines_table(file, shown))
    start = _number(request.GET.get("from", ""))
    page = list(shown.filter(number__gte=start).order_by("number")[: ROWS + 1])
    earlier = shown.filter(number__lt=start).order_by("-number").values_list("number", flat=True)[:ROWS]
    earlier_numbers = list(earlier) if start else []
    counts = dict(StagedRow.objects.filter(file=file).order_by().values_list("state").annotate(Count("id")))
    return render(
        request,
        "office/days/rows.html",
        {
            "here": "days",
            "day": day,
            "file": file,
            "rows": page[:ROWS],
            "state": state,
            "states": [(key, label, counts.get(key, 0)) for key, label in RowState.choices],
            "all_count": sum(counts.values()),
            "next": page[ROWS].number if len(page) > ROWS else None,
            "previous": earlier_numbers[-1] if earlier_numbers else None,
        },
    )


def _number(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else 0
