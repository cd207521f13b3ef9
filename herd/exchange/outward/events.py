"""Events as resources of the standard, those taken back as deleted ones where changes are asked for."""

from collections.abc import Iterator, Sequence
from datetime import UTC
from typing import Any
from uuid import UUID

from herd.exchange.kinds.shape import Occurrence, filled
from herd.exchange.kinds.table import BARE, SAID, say_bare
from herd.exchange.moments import When, say_when
from herd.exchange.names import ANIMAL, EXTENSION, as_uuid, say_identifier
from herd.exchange.node import BadValue, Node
from herd.exchange.outward.animals import gender_of
from herd.exchange.outward.scope import Scope, ids_of
from herd.exchange.whole import WholeEvent, read_event, say_extension
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Event, Location
from herd.registry.queries.withdrawal import held_by
from herd.registry.services.event_checks import ANIMAL_FIELDS


def say_events(scope: Scope, kinds: Sequence[str]) -> Iterator[dict[str, Any]]:
    """Yield the events of these kinds."""
    for events in scope.stretches(rows_of(scope, kinds), Event.SUBJECT):
        yield from say_stretch(scope, events)


def rows_of(scope: Scope, kinds: Sequence[str]) -> Any:
    """The events of these kinds; where changes are asked for, those too that were taken back."""
    rows = Event.objects.filter(outfit=scope.outfit, kind__in=kinds).filter(scope.of_animals("animal__"))
    return rows.filter(animal__is_void=False) if scope.is_changes else rows.filter(is_void=False)


def say_stretch(scope: Scope, events: Sequence[Event]) -> Iterator[dict[str, Any]]:
    """Yield these events."""
    genders = _genders(scope, events)
    places = dict(Location.objects.of(scope.outfit).values_list("id", "name"))
    gone = scope.modified(ids_of(event for event in events if event.is_void), (Event.SUBJECT,))
    for event in events:
        modified = gone.get(event.pk, event.recorded_at)
        resource = _say_event(scope, event, genders, places)
        resource["meta"] = scope.meta(event.pk, modified, is_deleted=event.is_void)
        yield resource


def _genders(scope: Scope, events: Sequence[Event]) -> dict[str, str]:
    """The genders of the animals that these events name, by their ids; those that stand only."""
    named = {key for event in events for field in ANIMAL_FIELDS if (key := as_uuid(str(event.data.get(field, ""))))}
    named = {scope.merged.get(key, key) for key in named}
    found: dict[str, str] = {}
    for ids in in_steps(named):
        rows = Animal.objects.of(scope.outfit).filter(pk__in=ids)
        found.update({str(key): gender_of(word) for key, word in rows.values_list("pk", "animal_class")})
    return found


def _say_event(
    scope: Scope, event: Event, genders: dict[str, str], places: dict[UUID, str]
) -> dict[str, Any]:
    when = When(event.happened_on, event.happened_at.astimezone(UTC) if event.happened_at else None, event.precision)
    data = {key: value for key, value in event.data.items() if value is not None}
    for field in ANIMAL_FIELDS & set(data):
        _name_animal(scope, data, field, genders)
    named = {}
    if (place := as_uuid(str(data.get("location", "")))) in places and place:
        data.pop("location")
        named["location"] = places[place]
    meant = WholeEvent(event.kind, data, when, event.weight_ng, places=named)
    hold = held_by(event, scope.outfit)
    until = hold.until.isoformat() if hold and hold.until and hold.days else ""
    common = {
        "id": str(event.pk),
        "location": scope.place,
        "animal": say_identifier(ANIMAL, event.animal_id),
        "eventDateTime": say_when(when),
        "remark": data.get("note"),
    }
    name, say = SAID.get(event.kind, (BARE, say_bare))
    said = say(Occurrence(event.kind, data, when, until, genders))
    return _whole(scope, meant, filled({"resourceType": name, **common, **said}), filled(common))


def _name_animal(scope: Scope, data: dict[str, Any], field: str, genders: dict[str, str]) -> None:
    """Name the record that stands for a merged one; an animal whose record was taken back is named no more."""
    key = as_uuid(str(data[field]))
    if key is not None:
        data[field] = str(scope.merged.get(key, key))
        if data[field] not in genders:
            del data[field]


def _whole(scope: Scope, meant: WholeEvent, resource: dict[str, Any], common: dict[str, Any]) -> dict[str, Any]:
    """The resource with the extension it needs; where the standard's part can't be read back, a bare event."""
    back = _read_back(resource, scope)
    if back is None:
        resource = {"resourceType": BARE, **common}
        back = _read_back(resource, scope)
    named = {field: value for field, value in meant.data.items() if field in ANIMAL_FIELDS and as_uuid(str(value))}
    if back is not None and {field: key for field, (_, key) in back.animals.items()} == named:
        rest = {field: value for field, value in meant.data.items() if field not in named}
        meant = WholeEvent(meant.kind, rest, meant.when, meant.ng, places=meant.places)
    own = say_extension(meant, back)
    return {**resource, EXTENSION: own} if own else resource


def _read_back(resource: dict[str, Any], scope: Scope) -> WholeEvent | None:
    try:
        found = read_event(Node(resource), scope.outfit.zone)
    except BadValue:
        return None
    return found[0] if len(found) == 1 else None
