"""The treatment log by period."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
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
from herd.office.saying import say_day, say_weight
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.models import Event
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.queries.withdrawal import held_by
from herd.reports.medicines import ingredients, medicines_given, undated_medicines
from herd.reports.treatweights import NearestWeight, nearest_weights
from herd.values.eventkinds import MEDICINE_KINDS
from herd.values.fielddates import DayOrder, read_date
from herd.values.mass import WeightUnit
from herd.values.movementrules import latest_day
from herd.values.policyhistory import PolicyHistory
from herd.values.problems import Unreadable
from herd.values.withdrawal import Withdrawal

COLUMNS = (
    *("Given on", "Last dose", "Visual tag", "EID", "Class", "What", "Product", "Active ingredient", "Lot", "Expiry"),
    *("Body weight", "Weighed on", "Condition", "Dose", "Route", "Site", "Use", "Meat withdrawal, days", "Free"),
    *("Given by", "Veterinarian", "Prescription", "Became of it", "Note"),
)
# Products keep for some years; a date further ahead is a slip.
FAR = timedelta(days=3650)
ABOUT = (
    "Cattle. As entered. The label and the veterinarian decide on dose, route and withdrawal. Fields as in 21 CFR"
    " 530.5 and the quality assurance guidance. A body weight of another day is an estimate."
)


@dataclass(frozen=True, slots=True)
class GivenLine:
    """One line of the log: what was given, to whom, and until when it holds."""

    event: Event
    worn: Worn
    ingredient: str
    hold: Withdrawal | None
    nearest: NearestWeight | None
    unit: WeightUnit

    @property
    def free(self) -> str:
        """When the animal is free of it, in words."""
        return say_end(self.hold) if self.hold else ""

    @property
    def body_weight(self) -> str:
        """The weight entered with it, or that of the nearest weighing, an estimate where it is of another day."""
        entered, nearest = self.event.data.get("body_weight"), self.nearest
        if entered or nearest is None:
            return str(entered or "")
        weight = say_weight(nearest.nanograms, self.unit)
        return f"{weight}, an estimate" if nearest.is_estimate else weight

    @property
    def weighed(self) -> NearestWeight | None:
        """The weighing that the body weight is from; None where it was entered."""
        return None if self.event.data.get("body_weight") else self.nearest

    @property
    def is_expired(self) -> bool:
        """Whether it was given after its expiry, as far as that can be read."""
        expiry, given = str(self.event.data.get("expiry") or ""), self.event.happened_on
        last = last_day_of(expiry, given) if expiry and given else None
        return bool(last and given and last < given)

    @property
    def became(self) -> str:
        """What became of the animal: where it is, or how and when it left."""
        animal = self.event.animal
        since = f" {say_day(animal.status_since)}" if animal.status_since and not animal.is_on_hand else ""
        return f"{animal.get_status_display()}{since}"

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
    kept, way = say_kept(policies_of(outfit), last), asked_way(request)
    if way:
        title = f"Treatment log, {first} to {last}"
        lines = _rows(outfit, rows.iterator(chunk_size=800))
        return hand_out(request, way, Table(title, COLUMNS, lines, f"{ABOUT} {kept}"))
    page = page_of(request, rows)
    context = {
        "here": "reports",
        "form": form,
        "first": first,
        "last": last,
        "page": page,
        "lines": list(_lines(outfit, page.rows)),
        "undated": undated_medicines(outfit, kinds),
        "about": f"{ABOUT} {kept}",
    }
    return render(request, "office/reports/treatments.html", context)


def say_kept(policies: PolicyHistory, last: date) -> str:
    """How long the log is to be kept, by the years in force on its last day."""
    years = policies.on(last).policy.treatment_retention_years
    return f"Keep each line for {years} years from the last dose; 21 CFR 530.5 asks for 2 at least."


def _lines(outfit: Outfit, events: Any) -> Iterator[GivenLine]:
    known = ingredients(outfit)
    for some in in_steps(events):
        worn = worn_by(outfit, [event.animal_id for event in some])
        nearest = nearest_weights(outfit, some)
        for event in some:
            name, hold = str(event.data.get("product", "")).casefold(), held_by(event, outfit)
            weight = nearest.get(event.pk)
            yield GivenLine(event, worn[event.animal_id], known.get(name, ""), hold, weight, outfit.unit)


def last_day_of(expiry: str, given: date) -> date | None:
    """The last day on which a product may be given by what is printed on it; None where that can't be read."""
    try:
        # Expiries lie ahead, where dates of the field would be refused.
        read = read_date(expiry, DayOrder.MDY, today=given + FAR)
    except Unreadable:
        return None
    return latest_day(read.day, str(read.precision))


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
            *(said(key) for key in ("lot", "expiry")),
            one.body_weight,
            one.weighed.day if one.weighed else None,
            *(said(key) for key in ("condition", "dose", "route", "site")),
            one.use,
            data.get("withdrawal_days"),
            one.free,
            *(said(key) for key in ("given_by", "veterinarian", "prescription")),
            one.became,
            said("note"),
        )
