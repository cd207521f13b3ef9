"""What callers send, as the registry's services take it."""

from collections.abc import Callable
from typing import Any
from uuid import UUID

from rest_framework.exceptions import ValidationError

from herd.accounts.models import Outfit
from herd.registry.services.batch import NewEvent
from herd.values.bodycondition import read_body_condition
from herd.values.identity import new_id
from herd.values.mass import WeightUnit
from herd.values.problems import Unreadable
from herd.values.tagnumbers import TypedTag, read_tag_number
from herd.values.tubes import read_tube
from herd.values.weights import read_weight

READERS: dict[str, Callable[[str], Any]] = {"tube": read_tube, "score": read_body_condition}


def event_of(outfit: Outfit, values: dict[str, Any], animal_id: UUID) -> NewEvent:
    """Return the event; raises ValidationError for a weight that can't be read or a moment without its day."""
    data, weight_ng = dict(values.get("data") or {}), None
    moment = values.get("happened_at")
    if "weight" in data:
        data, weight_ng = _with_weight(outfit, data)
    for key, read in READERS.items():
        if data.get(key):
            data[key] = _read(key, data[key], read)
    day = values.get("happened_on") or (moment.astimezone(outfit.zone).date() if moment else None)
    if day is None and values.get("precision") != "unknown":
        raise ValidationError({"happened_on": ["A day is needed, or the precision unknown."]})
    return NewEvent(
        animal_id,
        values["kind"],
        day,
        data,
        happened_at=moment,
        precision=values.get("precision", "day"),
        weight_ng=weight_ng,
        id=values.get("id") or new_id(),
    )


def _read(key: str, value: Any, read: Callable[[str], Any]) -> str:
    try:
        return str(read(str(value)))
    except Unreadable as problem:
        raise ValidationError({"data": {key: [problem.reason]}}) from problem


def _with_weight(outfit: Outfit, data: dict[str, Any]) -> tuple[dict[str, Any], int]:
    """Read the figure in its unit, the outfit's where none is given."""
    unit = str(data.get("unit") or outfit.unit)
    if unit not in set(WeightUnit):
        raise ValidationError({"data": {"unit": [f"{unit!r} is no unit of weight: {', '.join(WeightUnit)}."]}})
    try:
        weight = read_weight(str(data["weight"]), WeightUnit(unit)).weight
    except Unreadable as problem:
        raise ValidationError({"data": {"weight": [problem.reason]}}) from problem
    return {**data, "weight": str(weight.entered), "unit": weight.unit.value}, weight.nanograms


def tag_of(kind: str, number: str, member: str = "number") -> TypedTag:
    """Return the number in the record's spelling; raises ValidationError with the reason beside its member."""
    try:
        return read_tag_number(kind, number)
    except Unreadable as problem:
        raise ValidationError({member: [problem.reason]}) from problem
