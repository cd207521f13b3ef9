"""An event of the record as its form shows it, to be corrected."""

from datetime import date, datetime
from typing import Any

from herd.accounts.models import Outfit
from herd.office.wording import as_uuid
from herd.registry.models import Event
from herd.registry.queries.tags import worn_by
from herd.values.eventkinds import EVENT_KINDS, FieldKind


def shown_values(event: Event, outfit: Outfit) -> dict[str, Any]:
    """What stands in each field: animals by their number, days as days, the hour in the outfit's time."""
    values: dict[str, Any] = {"happened_on": event.happened_on, "unit": event.data.get("unit", "")}
    for one in EVENT_KINDS[event.kind].fields:
        value = event.data.get(one.key, "")
        if value != "":
            values[one.key] = _shown(one.kind, value, outfit)
    hour = _hour(event, outfit)
    return {**values, "time": hour.time().replace(second=0, microsecond=0)} if hour else values


def kept_animals(event: Event, values: dict[str, Any]) -> dict[str, tuple[str, str]]:
    """For each field that names an animal, what the form shows and the id behind it: left alone, the id stays."""
    fields = (one.key for one in EVENT_KINDS[event.kind].fields if one.kind is FieldKind.ANIMAL)
    return {key: (values[key], str(event.data[key])) for key in fields if key in values}


def _shown(kind: FieldKind, value: Any, outfit: Outfit) -> Any:
    if kind is FieldKind.ANIMAL:
        return _number_of(value, outfit)
    if kind is FieldKind.DATE:
        return date.fromisoformat(str(value))
    return value


def _number_of(value: Any, outfit: Outfit) -> str:
    """What the animal goes by, its EID first; what is no id stays as it is."""
    animal_id = as_uuid(value)
    if animal_id is None:
        return str(value)
    worn = worn_by(outfit, [animal_id])[animal_id]
    return worn.eid or worn.name


def _hour(event: Event, outfit: Outfit) -> datetime | None:
    last_at = event.data.get("last_at")
    moment = datetime.fromisoformat(str(last_at)) if last_at else event.happened_at
    return moment.astimezone(outfit.zone) if moment else None
