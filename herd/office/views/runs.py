"""Runs: the calves of a calving book and a lot that was bought, each previewed before it is written."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.ledger.models import Changeset
from herd.office.access import OfficeRequest, needs
from herd.office.calvingcells import COLUMNS
from herd.office.calvinglines import EXAMPLE, CalvingLine, read_lines, worn_keys
from herd.office.forms.fields import show_refusals
from herd.office.forms.runs import CalvingForm, LotForm, Tag
from herd.office.telling import entry_for
from herd.office.today import today_of
from herd.registry.models import TagKind
from herd.registry.services import runs
from herd.registry.services.refused import Refused

WRITE = "write"
LOT_FIELDS = {"number": "first_vid", "worn_from": "on", "happened_on": "on", "day": "on"}
MOST_SHOWN = 200


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def calving(request: OfficeRequest) -> HttpResponse:
    """Register the calves of a list; first what each line says, then the button that writes them all."""
    outfit, today = request.outfit, today_of(request.outfit)
    form = CalvingForm(request.POST or None, initial={"unit": outfit.weight_unit})
    lines: list[CalvingLine] = []
    if request.method == "POST" and form.is_valid():
        lines = read_lines(outfit, form.cleaned_data["lines"], form.writing(today))
        if not lines:
            form.add_error("lines", "There is no line with a calf.")
        elif request.POST.get("do") == WRITE and not _faults(lines):
            written = _write_births(request, form, lines)
            if written is not None:
                return _lead_on(request, written, f"{len(lines)} birth{_s(len(lines))} registered.")
    context = {
        "form": form,
        "lines": lines,
        "faults": _faults(lines),
        "columns": COLUMNS,
        "example": EXAMPLE,
        "head": sum(1 for line in lines if line.read.is_alive),
    }
    return render(request, "office/animal/calving_run.html", context)


def _faults(lines: list[CalvingLine]) -> int:
    return sum(1 for line in lines if line.faults)


def _write_births(request: OfficeRequest, form: forms.Form, lines: list[CalvingLine]) -> Changeset | None:
    entry = entry_for(request, f"Registered {len(lines)} birth{_s(len(lines))}")
    try:
        return runs.register_births(entry=entry, births=[line.birth for line in lines])
    except Refused as refused:
        show_refusals(form, refused)
        return None


def _s(count: int) -> str:
    return "" if count == 1 else "s"


def _lead_on(request: OfficeRequest, written: Changeset, sentence: str) -> HttpResponse:
    messages.success(request, sentence, extra_tags=str(written.pk))
    return redirect("office:changeset", written.pk)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def purchase(request: OfficeRequest) -> HttpResponse:
    """Register a lot that was bought; first its numbers and those already in use, then the button."""
    form = LotForm(request.POST or None, outfit=request.outfit, today=today_of(request.outfit))
    context: dict[str, Any] = {"form": form}
    if request.method == "POST" and form.is_valid():
        seen = " ".join(f"{run[0]['number']}-{run[-1]['number']}" for run in form.runs.values())
        taken, alike = _taken(request, [tag for run in form.runs.values() for tag in run])
        context |= {
            "runs": [(TagKind(kind).label, run[0], run[-1], len(run)) for kind, run in form.runs.items()],
            "taken": taken[:MOST_SHOWN],
            "taken_count": len(taken),
            "alike": alike[:MOST_SHOWN],
            "alike_count": len(alike),
            "head": form.cleaned_data["head"],
            "seen": seen,
            "group": dict(form.fields["group"].choices)[form.cleaned_data["group"]],  # type: ignore[attr-defined]
        }
        # Numbers from stock move on once they are used: a button pressed twice must not register another lot.
        if request.POST.get("do") == WRITE and request.POST.get("seen") == seen and not taken:
            written = _write_lot(request, form)
            if written is not None:
                return _lead_on(request, written, f"{form.cleaned_data['head']:,} head registered.")
    return render(request, "office/animal/lot.html", context)


def _taken(request: OfficeRequest, tags: list[Tag]) -> tuple[list[str], list[str]]:
    """The numbers of the run that an animal wears already, and those worn in another colour or year."""
    worn = worn_keys(request.outfit, [tag["number"] for tag in tags])
    others = {key[:2] for key in worn}
    keys = [(tag["kind"], tag["number"], tag.get("colour", ""), tag.get("issuer_year", 0)) for tag in tags]
    taken = [" ".join(part for part in key[1:3] if part) for key in keys if key in worn]
    return taken, [key[1] for key in keys if key not in worn and key[:2] in others]


def _write_lot(request: OfficeRequest, form: LotForm) -> Changeset | None:
    data = form.cleaned_data
    seller = f" from {data['seller']}" if data["seller"] else ""
    entry = entry_for(request, f"Bought {data['head']:,} head{seller}")
    try:
        return runs.register_lot(entry=entry, lot=form.lot())
    except Refused as refused:
        show_refusals(form, refused, LOT_FIELDS)
        return None
