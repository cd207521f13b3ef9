"""Forms for runs: a list of calves, and a lot that was bought."""

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.calvinglines import MOST_LINES, Writing
from herd.office.forms.animals import CLASS_CHOICES, group_choices
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.tags import COLOUR_CHOICES
from herd.registry.models import TagKind
from herd.registry.queries.lotnumbers import Numbered, number_lot
from herd.registry.services.runs import MOST_HEAD, Lot
from herd.values.calendardays import DayOrder
from herd.values.mass import WeightUnit
from herd.values.problems import Unreadable

UNITS = [(unit.value, unit.value) for unit in WeightUnit]
ORDERS = [(DayOrder.MDY.value, "month first: 3/14/26"), (DayOrder.DMY.value, "day first: 14/3/26")]
LONGEST_LIST = 60_000

FROM_CHOICES = [("", "none"), ("typed", "a run from the first number"), ("stock", "the next free ones in stock")]

Tag = dict[str, Any]


class CalvingForm(forms.Form):
    """The lines of a calving book."""

    lines = forms.CharField(
        label="One line a calf",
        max_length=LONGEST_LIST,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false", "autocomplete": "off", "wrap": "off"}),
        error_messages={"required": "Type or paste at least one line."},
    )
    born_on = day_field("Born, where a line gives no day", is_required=False)
    order = choice_field("Days with digits are written", ORDERS)
    unit = choice_field("Weights are in", UNITS)

    def clean_lines(self) -> str:
        """The lines, as long as they are not more than one changeset should hold."""
        text = str(self.cleaned_data["lines"])
        count = sum(1 for line in text.splitlines() if line.strip())
        if count > MOST_LINES + 1:
            raise forms.ValidationError(
                f"These are {count:,} lines; at most {MOST_LINES} go in at once. A longer list is for a field file."
            )
        return text

    def writing(self, today: date) -> Writing:
        """How the lines are to be read."""
        data = self.cleaned_data
        return Writing(WeightUnit(data["unit"]), DayOrder(data["order"]), today, data["born_on"])


class LotForm(forms.Form):
    """A lot that was bought: how many head, their numbers, and what is true of all."""

    head = forms.IntegerField(
        label="Head",
        min_value=1,
        max_value=MOST_HEAD,
        error_messages={"required": "How many head were bought?"},
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    entry_class = choice_field("Class", CLASS_CHOICES, is_required=False)
    on = day_field("Bought on")
    group = choice_field("Group", [], is_required=False)
    vid_from = choice_field("Visual tags", FROM_CHOICES, is_required=False)
    first_vid = text_field("First visual tag", longest=40, hint="The next ones follow: B099, B100, B101 …")
    colour = choice_field("Tag colour", COLOUR_CHOICES, is_required=False)
    issuer_year = forms.IntegerField(label="Year of issue", required=False, min_value=1990, max_value=2100)
    eid_from = choice_field("EIDs", FROM_CHOICES, is_required=False)
    first_eid = text_field("First EID", longest=80, hint="Fifteen digits; the next ones follow.")
    seller = text_field("Seller")
    price = text_field("Price a head", longest=30)
    born_in = forms.DateField(
        label="Born about",
        required=False,
        input_formats=["%Y-%m"],
        help_text="The month, as 2025-04; it is kept as an estimate to the month.",
        error_messages={"invalid": "Give the month as year-month, such as 2025-04."},
        widget=forms.DateInput(attrs={"type": "month"}, format="%Y-%m"),
    )
    breed = text_field("Breed", longest=60)
    origin = text_field("Origin", longest=80, hint="Where they come from, if not from the seller.")

    def __init__(self, *args: Any, outfit: Outfit, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.outfit = outfit
        self.fields["group"].choices = group_choices(outfit, "no group")  # type: ignore[attr-defined]
        self.fields["on"].initial = today

    def clean(self) -> dict[str, Any]:
        """Give each head its numbers, or say beside the field why there are not enough."""
        data = super().clean() or self.cleaned_data
        self.runs: dict[str, list[Tag]] = {}
        if not data.get("head"):
            return data
        for kind, name in ((TagKind.VID, "vid"), (TagKind.EID, "eid")):
            way = data.get(f"{name}_from") or ("typed" if data.get(f"first_{name}") else "")
            if way == "typed" and not data.get(f"first_{name}"):
                self.add_error(f"first_{name}", "Give the first number of the run.")
            elif way:
                self._number(kind, name, data, is_typed=way == "typed")
        if not self.errors and not self.runs:
            self.add_error("vid_from", "Give them visual tags or EIDs, or nobody could tell them apart.")
        return data

    def _number(self, kind: TagKind, name: str, data: dict[str, Any], *, is_typed: bool) -> None:
        first = data[f"first_{name}"] if is_typed else ""
        wanted = Numbered(kind, data["head"], first, data.get("colour", ""), data.get("issuer_year"))
        try:
            self.runs[kind] = number_lot(self.outfit, wanted)
        except Unreadable as problem:
            self.add_error(f"first_{name}" if is_typed else f"{name}_from", problem.reason)

    def lot(self) -> Lot:
        """The lot as the registry takes it."""
        data = self.cleaned_data
        tags: Sequence[Sequence[Tag]] = list(zip(*self.runs.values(), strict=True))
        facts = {
            "entry_class": data["entry_class"],
            "breed": data["breed"],
            "origin": data["origin"],
            "born_on": data["born_in"],
            "born_precision": "month" if data["born_in"] else "unknown",
        }
        group = UUID(data["group"]) if data["group"] else None
        return Lot(tags, data["on"], facts, data["seller"], data["price"], group)
