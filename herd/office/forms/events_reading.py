"""One field of an event at a time: how it is asked, and how what was typed becomes what the record keeps."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django import forms
from django.db.models import Q

from herd.accounts.models import Outfit
from herd.office.forms.fields import LONGEST_NOTE, choice_field, day_field, text_field
from herd.office.forms.numbers import animal_by_number
from herd.office.wording import as_uuid
from herd.registry.models import Location
from herd.values.bodycondition import read_body_condition
from herd.values.eventkinds import EventField, FieldKind
from herd.values.lengths import read_length, usual_unit
from herd.values.mass import WeightUnit
from herd.values.pregnancy import LONGEST_DAYS
from herd.values.problems import Unreadable
from herd.values.tubes import read_tube
from herd.values.weights import read_weight
from herd.values.withdrawal import MOST_DAYS

UNITS = [(unit.value, unit.value) for unit in WeightUnit]
HINTS = {
    "days": "Days since conception, as called at the chute. The due date is counted from them.",
    "score": "1 (emaciated) to 9 (obese), in half steps.",
    "ease": "1 (no help) to 5.",
    "tube": "The code on the tube, scanned or typed.",
    "height": "Over the hooks, on level ground, such as 49.5 in or 126 cm.",
    "circumference": "The largest, such as 34 cm.",
}


@dataclass(frozen=True, slots=True)
class Reading:
    """What a field came to: keys of the event's data, and for a weight its nanograms."""

    data: dict[str, Any] = field(default_factory=dict)
    weight_ng: int | None = None


def asked_field(one: EventField, outfit: Outfit, stands: Any = None) -> forms.Field:
    """The form's field for a field of an event; `stands` is what the record has there already."""
    label = one.label[0].upper() + one.label[1:]
    if one.key == "location":
        return choice_field("At the location", place_choices(outfit, stands), is_required=False)
    if one.kind is FieldKind.CHOICE:
        words = [("", "not given"), *((word, word) for word in one.choices if word)]
        return choice_field(label, words, is_required=one.is_required)
    if one.kind is FieldKind.DAYS:
        hint = HINTS.get(one.key, "")
        return forms.IntegerField(
            label=label, required=one.is_required, min_value=0, max_value=MOST_DAYS, help_text=hint
        )
    if one.kind is FieldKind.DATE:
        return day_field(label, is_required=one.is_required)
    if one.key == "note":
        longest = forms.Textarea(attrs={"rows": 2})
        return forms.CharField(label=label, required=one.is_required, max_length=LONGEST_NOTE, widget=longest)
    return _line(one, label)


def _line(one: EventField, label: str) -> forms.Field:
    hint = "Any number that it wears or wore." if one.kind is FieldKind.ANIMAL else HINTS.get(one.key, "")
    field = text_field(label, is_required=one.is_required, hint=hint)
    if one.kind in {FieldKind.WEIGHT, FieldKind.SCORE, FieldKind.LENGTH}:
        field.widget.attrs["inputmode"] = "decimal"
    return field


def place_choices(outfit: Outfit, stands: Any = None) -> list[tuple[str, str]]:
    """The locations in use and the one that stands already, behind the word for none."""
    places = Location.objects.of(outfit).filter(Q(is_retired=False) | Q(pk=as_uuid(stands)))
    return [("", "not given"), *((str(place.pk), place.name) for place in places)]


def read_field(outfit: Outfit, one: EventField, value: Any, unit: str = "") -> Reading:
    """Read what was typed into a field; raises forms.ValidationError with the reason."""
    if value in (None, ""):
        return Reading()
    try:
        if one.kind is FieldKind.WEIGHT:
            weight = read_weight(value, WeightUnit(unit or outfit.weight_unit)).weight
            return Reading({"weight": str(weight.entered), "unit": weight.unit.value}, weight.nanograms)
        read = READERS.get(one.kind)
        return Reading({one.key: read(outfit, one, value) if read else value})
    except Unreadable as problem:
        raise forms.ValidationError(problem.reason) from problem


def days_fault(result: object, days: object) -> str:
    """What is wrong with the days bred called beside a result; empty where nothing is."""
    if not isinstance(days, int):
        return ""
    if result not in {"pregnant", "", None}:
        return "Days bred go with the result pregnant."
    return f"No pregnancy in cattle lasts longer than {LONGEST_DAYS} days." if days > LONGEST_DAYS else ""


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


def _read_length(outfit: Outfit, one: EventField, text: str) -> str:
    return str(read_length(text, one.key, usual_unit(one.key, outfit.unit)))


def _read_day(_: Outfit, __: EventField, value: date) -> str:
    return value.isoformat()


READERS: dict[FieldKind, Callable[[Outfit, EventField, Any], Any]] = {
    FieldKind.ANIMAL: _read_animal,
    FieldKind.SCORE: _read_score,
    FieldKind.TUBE: _read_tube,
    FieldKind.DATE: _read_day,
    FieldKind.LENGTH: _read_length,
}
