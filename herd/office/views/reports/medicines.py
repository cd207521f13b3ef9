"""The treatment log by period."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports import A_YEAR, MedicinesForm
from herd.office.holds import say_end
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.models import Event
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.queries.withdrawal import held_by
from herd.reports.medicines import ingredients, medicines_given, undated_medicines
from herd.values.eventkinds import MEDICINE_KINDS
from herd.values.withdrawal import Withdrawal

COLUMNS = (
    *("Given on", "Last dose", "Visual tag", "EID", "Class", "What", "Product", "Active ingredient", "Lot"),
    *("Condition", "Dose", "Route", "Site", "Use", "Meat withdrawal, days", "Free", "Given by"),
    *("Veterinarian", "Prescription", "Note"),
)
ABOUT = (
    "As entered. The label and the veterinarian decide on dose, route and withdrawal. Fields as in 21 CFR 530.5 and the"
    " quality assurance guidance."
)


@dataclass(frozen=True, slots=True)
class GivenLine:
    """One line of the log: what was given, to whom, and until when it holds."""

    event: Event
    worn: Worn
    ingredient: str
    hold: Withdrawal | None

    @property
    def free(self) -> str:
        """When the animal is free of it, in words."""
        return say_end(self.hold) if self.hold else ""

    @property
    def use(self) -> str:
        """Whether by the label, in words; empty where nobody said."""
        return {"label": "by the label", "extra-label": "other than the label"}.get(self.event.data.get("use"), "")


@require_safe
@needs(Role.READER)
def treatments(request: OfficeRequest) -> HttpResponseBase:
    """What was given between two days."""
    outfit, today = request.outfit, today_of(request.outfit)
    form = MedicinesForm(question_of(request), today=today, since=today - A_YEAR)
    first, last = form.days()
    said = form.cleaned_data if form.is_bound else {}
    kinds = (said["kind"],) if said.get("kind") else MEDICINE_KINDS
    rows = medicines_given(outfit, first, last, kinds)
    if said.get("product"):
        rows = rows.filter(data__product__icontains=said["product"])
    way = asked_way(request)
    if way:
        title = f"Treatment log, {first} to {last}"
        return hand_out(request, way, Table(title, COLUMNS, _rows(outfit, rows.iterator(chunk_size=800)), ABOUT))
    page = page_of(request, rows)
    context = {
        "here": "reports",
        "form": form,
        "first": first,
        "last": last,
        "page": page,
        "lines": list(_lines(outfit, page.rows)),
        "undated": undated_medicines(outfit, kinds),
        "about": ABOUT,
    }
    return render(request, "office/reports/treatments.html", context)


def _lines(outfit: Outfit, events: Any) -> Iterator[GivenLine]:
    known = ingredients(outfit)
    for some in in_steps(events):
        worn = worn_by(outfit, [event.animal_id for event in some])
        for event in some:
            name = str(event.data.get("product", "")).casefold()
            yield GivenLine(event, worn[event.animal_id], known.get(name, ""), held_by(event, outfit))


def _rows(outfit: Outfit, events: Any) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, events):
        data: Mapping[str, Any] = one.event.data

        def said(key: str, data: Mapping[str, Any] = data) -> str:
            return str(data.get(key) or "")

        yield (
            one.event.happened_on,
            said("last_on"),
            visual_tag(one.worn),
            one.worn.eid,
            one.event.animal.animal_class,
            one.event.kind,
            said("product"),
            one.ingredient,
            *(said(key) for key in ("lot", "condition", "dose", "route", "site")),
            one.use,
            data.get("withdrawal_days"),
            one.free,
            *(said(key) for key in ("given_by", "veterinarian", "prescription", "note")),
        )
