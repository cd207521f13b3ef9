"""Forms for tag stock: boxes received or corrected, numbers missing or found, a box taken out."""

from datetime import date
from typing import Any

from django import forms

from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.numbers import read_tag
from herd.office.forms.tags import COLOUR_CHOICES, year_field
from herd.registry.models import TagBox, TagKind
from herd.registry.queries.stock import run_of
from herd.registry.services.stock import NewBox
from herd.values.problems import Unreadable
from herd.values.runs import read_run

BOXED = (TagKind.EID, TagKind.VID, TagKind.METAL, TagKind.BACK)
BOX_KINDS = [(kind.value, kind.label) for kind in BOXED]
LONGEST_SUPPLIER = 80


class BoxForm(forms.Form):
    """What a box is."""

    kind = choice_field("Kind of tag", BOX_KINDS)
    first = text_field("First number", is_required=True, longest=80)
    last = text_field("Last number", is_required=True, longest=80)
    colour = choice_field("Colour", COLOUR_CHOICES, is_required=False)
    issuer_year = year_field()
    received_on = day_field("Received", is_required=False)
    supplier = text_field("Supplier", longest=LONGEST_SUPPLIER)

    def clean(self) -> dict[str, Any]:
        """Read both ends of the run as the kind asks."""
        data = super().clean() or self.cleaned_data
        for name in ("first", "last"):
            if data.get(name) and data.get("kind"):
                try:
                    tag = read_tag(data["kind"], data[name])
                except forms.ValidationError as problem:
                    self.add_error(name, problem)
                else:
                    data[name] = tag.number
                    data["colour"] = data.get("colour") or tag.colour
        data["issuer_year"] = (data.get("issuer_year") or 0) if data.get("kind") == TagKind.VID else 0
        return data

    def box(self) -> NewBox:
        """The box as typed."""
        return NewBox(**{name: self.cleaned_data[name] for name in BoxForm.base_fields})


class ReceiveForm(BoxForm):
    """One box as it came, or several of one size with numbers that run on."""

    size = forms.IntegerField(
        label="Numbers in a box",
        required=False,
        min_value=1,
        help_text="Only where several boxes came: the run is cut into boxes of this many.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["received_on"].initial = today

    def boxes(self) -> list[NewBox]:
        """The boxes received; raises Unreadable where the run makes no sense."""
        box, size = self.box(), self.cleaned_data["size"]
        if not size:
            return [box]
        pieces = read_run(box.first, box.last).boxes_of(size)
        told = {name: self.cleaned_data[name] for name in BoxForm.base_fields if name not in ("first", "last")}
        return [NewBox(first=piece.first, last=piece.last, **told) for piece in pieces]


class CorrectBoxForm(BoxForm):
    """What a box is, set right, with the reason."""

    reason = text_field("Reason", is_required=True)


class NumbersForm(forms.Form):
    """One number of a box, or a range of them, whole or by the last digits."""

    number = text_field("Number", is_required=True, longest=80, hint="Whole, or its last digits where they are enough.")
    last = text_field("To number", longest=80, hint="Only for a range: the last number of it.")
    reason = text_field("Reason", is_required=True)

    def __init__(self, *args: Any, box: TagBox, hint: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.box = box
        self.fields["reason"].help_text = hint

    def clean(self) -> dict[str, Any]:
        """Find the numbers in the box."""
        data = super().clean() or self.cleaned_data
        for name in ("number", "last"):
            if data.get(name):
                self._find(name, data)
        data["last"] = data.get("last") or data.get("number", "")
        return data

    def _find(self, name: str, data: dict[str, Any]) -> None:
        run, text = run_of(self.box), data[name].strip()
        if text.isascii() and text.isdigit() and (found := run.ending_in(text)):
            data[name] = found
            return
        try:
            data[name] = read_tag(self.box.kind, text).number
        except forms.ValidationError as problem:
            self.add_error(name, problem)
            return
        if run.value_of(data[name]) is None:
            self.add_error(name, f"{data[name]} is not in the box {self.box}.")


class ReasonForm(forms.Form):
    """Why a box is taken out."""

    reason = text_field("Reason", is_required=True)


def shown_of(box: TagBox) -> dict[str, Any]:
    """What a form to correct a box shows first."""
    return {name: getattr(box, name) or "" for name in BoxForm.base_fields}


def boxes_typed(form: ReceiveForm) -> list[NewBox]:
    """The boxes typed; what makes no run stands beside its field, and none are returned."""
    try:
        return form.boxes()
    except Unreadable as problem:
        form.add_error("last", problem.reason)
        return []
