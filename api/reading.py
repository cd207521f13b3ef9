"""What callers send, as the registry's services take it."""

from typing import Any
from uuid import UUID

from rest_framework.exceptions import ValidationError

from herd.accounts.models import Outfit
from herd.registry.services.batch import NewEvent
from herd.values.eventdata import UnreadableField, read_event_data
from herd.values.identity import new_id
from herd.values.problems import Unreadable
from herd.values.tagnumbers import TypedTag, read_tag_number


def event_of(outfit: Outfit, values: dict[str, Any], animal_id: UUID) -> NewEvent:
    """Return the event; raises ValidationError for a weight that can't be read or a moment without its day."""
    moment = values.get("happened_at")
    day = values.get("happened_on") or (moment.astimezone(outfit.zone).date() if moment else None)
    if day is None and values.get("precision") != "unknown":
        raise ValidationError({"happened_on": ["A day is needed, or the precision unknown."]})
    try:
        read = read_event_data(values.get("data") or {}, outfit.unit)
    except UnreadableField as problem:
        raise ValidationError({"data": {problem.field: [str(problem)]}}) from problem
    return NewEvent(
        animal_id,
        values["kind"],
        day,
        read.data,
        happened_at=moment,
        precision=values.get("precision", "day"),
        weight_ng=read.weight_ng,
        id=values.get("id") or new_id(),
    )


def tag_of(kind: str, number: str, member: str = "number") -> TypedTag:
    """Return the number in the record's spelling; raises ValidationError with the reason beside its member."""
    try:
        return read_tag_number(kind, number)
    except Unreadable as problem:
        raise ValidationError({member: [problem.reason]}) from problem
