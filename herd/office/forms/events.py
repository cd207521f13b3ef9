"""Forms for events, made from what each kind declares in herd.values.eventkinds."""

from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.animals import place_choices
from herd.office.forms.fields import LONGEST_NOTE, choice_field, day_field, text_field
from herd.office.forms.numbers import animal_by_number
from herd.registry.services.batch import NewEvent
from herd.values.bodycondition import read_body_condition
from herd.values.eventkinds import EventField, EventKind, FieldKind
from herd.values.mass import WeightUnit
from herd.values.problems import Unreadable
from herd.values.tubes import read_tube
from herd.values.weights import read_weight

UNITS = [(unit.value, unit.value) for unit in WeightUnit]
MOST_DAYS = 1_000


class EventForm(forms.Form):
    """One event of a kind on a day."""

    happened_on = day_field("Day")

    def __init__(self, *args: Any, kind: EventKind, outfit: Outfit, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.outfit = outfit
        self.fields["happened_on"].initial = today
        for one in kind.fields:
            self.fields[one.key] = _field(one, outfit)
            if one.kind is FieldKind.WEIGHT:
                self.fields["unit"] = choice_field("Unit", UNITS, initial=outfit.weight_unit)

    def clean(self) -> dict[str, Any]:
        """Read each field by its kind; `data` and `weight_ng` are then what the record keeps."""
        cleaned = super().clean() or self.cleaned_data
        self.weight_ng: int | None = None
        self.data: dict[str, Any] = {}
        for one in self.kind.fields:
            value = cleaned.get(one.key)
            if value not in (None, ""):
                self._take(one, value)
        place = cleaned.get("location")
        if place:
            names = dict(place_choices(self.outfit))
            self.data.setdefault("to", names.get(place, ""))
        return cleaned

    def _take(self, one: EventField, value: Any) -> None:
        if one.kind is FieldKind.WEIGHT:
            self._take_weight(value)
            return
        read = READERS.get(one.kind)
        try:
            self.data[one.key] = read(self.outfit, one, value) if read else value
        except Unreadable as problem:
            self.add_error(one.key, problem.reason)
        except forms.ValidationError as problem:
            self.add_error(one.key, problem)

    def _take_weight(self, text: str) -> None:
        try:
            weight = read_weight(text, WeightUnit(self.cleaned_data.get("unit") or self.outfit.weight_unit)).weight
        except Unreadable as problem:
            self.add_error("weight", problem.reason)
            return
        self.weight_ng = weight.nanograms
        self.data |= {"weight": str(weight.entered), "unit": weight.unit.value}

    def event_of(self, animal_id: UUID) -> NewEvent:
        """Return the event as the registry takes it."""
        return NewEvent(animal_id, self.kind.key, self.cleaned_data["happened_on"], self.data, weight_ng=self.weight_ng)


def _field(one: EventField, outfit: Outfit) -> forms.Field:
    label = one.label[0].upper() + one.label[1:]
    if one.key == "location":
        return choice_field("At the location", place_choices(outfit), is_required=False)
    if one.kind is FieldKind.CHOICE:
        words = [("", "not given"), *((word, word) for word in one.choices if word)]
        return choice_field(label, words, is_required=one.is_required)
    if one.kind is FieldKind.DAYS:
        return forms.IntegerField(label=label, required=one.is_required, min_value=0, max_value=MOST_DAYS)
    if one.kind is FieldKind.DATE:
        return day_field(label, is_required=one.is_required)
    if one.key == "note":
        longest = forms.Textarea(attrs={"rows": 2})
        return forms.CharField(label=label, required=one.is_required, max_length=LONGEST_NOTE, widget=longest)
    hint = "Any number that it wears or wore." if one.kind is FieldKind.ANIMAL else ""
    field = text_field(label, is_required=one.is_required, hint=hint)
    if one.kind is FieldKind.WEIGHT:
        field.widget.attrs["inputmode"] = "decimal"
    return field


def _read_animal(outfit: Outfit, _: EventField, text: str) -> str:
    return str(animal_by_number(outfit, text))


def _read_score(_: Outfit, one: EventField, text: str) -> str:
    if one.key == "score":
        return str(read_body_condition(text))
    # Calving ease runs from 1 (no help) to 5 (Beef Improvement Federation, from memory).
    if text not in {"1", "2", "3", "4", "5"}:
        raise forms.ValidationError("Calving ease is a whole number from 1 (no help) to 5.")
    return text


def _read_tube(_: Outfit, __: EventField, text: str) -> str:
    return read_tube(text)


def _read_day(_: Outfit, __: EventField, value: date) -> str:
    return value.isoformat()


READERS: dict[FieldKind, Callable[[Outfit, EventField, Any], Any]] = {
    FieldKind.ANIMAL: _read_animal,
    FieldKind.SCORE: _read_score,
    FieldKind.TUBE: _read_tube,
    FieldKind.DATE: _read_day,
}
