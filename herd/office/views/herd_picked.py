"""What is done with animals picked in the herd list: taken out as a file, or added to a processing day."""

import csv
import io
from collections.abc import Iterable
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.http import require_POST

from herd.accounts.models import Outfit, Role
from herd.intake.days import GivenFile, add_files, open_day
from herd.intake.models import ProcessingDay
from herd.intake.tasks import start_work
from herd.office.access import Elsewhere, OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.herd import form_of
from herd.office.forms.herd_day import PickedDayForm
from herd.office.selection import FIELD, Selection, selection_of
from herd.office.today import today_of
from herd.office.views.herd import table_of
from herd.registry.queries.tags import worn_by
from herd.registry.services.refused import Refused

FILE = "picked in the herd list.csv"
NOBODY = "Nobody is picked yet: tick some animals first, or count all that match and pick those."


@require_POST
@needs(Role.READER)
def take_along(request: OfficeRequest) -> HttpResponseBase:
    """The picked animals as CSV, XLSX or a page to print, with the columns of the list."""
    picked = _picked(request)
    form = form_of(request.outfit, today_of(request.outfit), request.POST.get("list", ""))
    return hand_out(request, asked_way(request) or "print", table_of(request, form, picked.ids))


@require_POST
@needs(Role.CREW)
def to_day(request: OfficeRequest) -> HttpResponse:
    """Add the picked animals to a processing day that is open, or to a new one, as a file of their numbers."""
    picked = _picked(request)
    content, nameless = numbers_file(request.outfit, picked.ids)
    form = PickedDayForm(request.POST if "day" in request.POST else None, outfit=request.outfit)
    if form.is_bound and form.is_valid():
        try:
            day = _add(request, form, GivenFile(FILE, content))
        except Refused as refused:
            form.add_error("day", str(refused))
        else:
            start_work(day)
            messages.success(request, f"{len(picked) - nameless} head were added to “{day.name}”.")
            return redirect("office:day", day.pk)
    context = {
        "here": "herd",
        "form": form,
        "picked": picked,
        "nameless": nameless,
        "named": len(picked) - nameless,
        "field": FIELD,
        "list": request.POST.get("list", ""),
    }
    return render(request, "office/herd/day.html", context)


def _picked(request: OfficeRequest) -> Selection:
    picked = selection_of(request, request.outfit)
    if not picked:
        raise Elsewhere(f"{resolve_url('office:herd')}?{_said(request)}", NOBODY)
    return picked


def _said(request: OfficeRequest) -> str:
    """The list's question as we write it ourselves, whatever was sent."""
    return form_of(request.outfit, today_of(request.outfit), request.POST.get("list", "")).as_query()


def _add(request: OfficeRequest, form: PickedDayForm, file: GivenFile) -> ProcessingDay:
    said = form.cleaned_data
    day: ProcessingDay | None = said["day"]
    if day is None:
        return open_day(
            outfit=request.outfit,
            person=request.user,
            name=said["name"],
            worked_on=said["worked_on"],
            group=None,
            files=[file],
        )
    add_files(day=day, files=[file])
    return day


def numbers_file(outfit: Outfit, ids: Iterable[UUID]) -> tuple[bytes, int]:
    """The numbers of animals as a field file, and how many have neither an EID nor a visual tag."""
    into = io.StringIO()
    lines = csv.writer(into)
    lines.writerow(["EID", "Tag", "Color"])
    nameless = 0
    worn = worn_by(outfit, ids)
    for one in worn.values():
        if one.eid or one.vid:
            lines.writerow([one.eid, one.vid, one.vid_colour])
        else:
            nameless += 1
    return into.getvalue().encode(), nameless
