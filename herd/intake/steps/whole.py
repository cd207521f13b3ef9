"""What a record kept elsewhere told whole, as parts of a batch: wearings, stays, places, and events by their ids."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from itertools import count
from typing import Any
from uuid import UUID

from herd.intake.models import MergedLine
from herd.intake.steps.making import Making
from herd.ledger.entry import Source
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Event, Group, GroupMembership, Location, Record, TagWearing
from herd.registry.services.batch import Leave, NewPlace, PutOn, Stayed, WornBefore
from herd.values.identity import new_id

# The last 62 bits of an id are random (RFC 9562); a turn moves them on by more than a burst of ids counts up.
RANDOM, TURN_BITS = (1 << 62) - 1, 40
MODELS: dict[str, type[Record]] = {
    "new_animal": Animal,
    "event": Event,
    "tag_on": TagWearing,
    "worn": TagWearing,
    "stay": GroupMembership,
}


def turn_of(proposals: Iterable[dict[str, Any]]) -> int:
    """How far the ids that proposals ask for must be moved on so that no row has them, as one that was taken back.

    All are moved alike: events of one day are folded in the order of their ids.
    """
    asked: dict[type[Record], set[str]] = {}
    for one in proposals:
        given = one.get("told", one).get("id")
        if given and one["do"] in MODELS:
            asked.setdefault(MODELS[one["do"]], set()).add(given)
    return next(turn for turn in count() if not any(_are_taken(model, ids, turn) for model, ids in asked.items()))


def _are_taken(model: type[Record], ids: Iterable[str], turn: int) -> bool:
    wanted = (moved(given, turn) for given in ids)
    return any(model.objects.filter(pk__in=some).exists() for some in in_steps(wanted))


def moved(given: str | None, turn: int) -> UUID:
    """The id that was asked for, moved on within its random bits; a new one where none was asked for."""
    if not given:
        return new_id()
    whole = UUID(given).int
    return UUID(int=whole & ~RANDOM | (whole + (turn << TURN_BITS)) & RANDOM)


def wearings_of(lines: Iterable[MergedLine]) -> frozenset[UUID]:
    """The ids that the wearings told by these lines get."""
    told = (one["told"] for line in lines for one in line.proposals if "told" in one)
    return frozenset(UUID(one["id"]) for one in told)


def whole_wearing(making: Making, tag: PutOn, told: dict[str, Any]) -> PutOn:
    """A wearing with all that was told of it."""
    replaces = UUID(told["replaces"]) if told["replaces"] else None
    # What it replaced may come in with it, or be here already under that id; else the link has no end.
    known = replaces is not None and replaces in making.wearings
    return replace(
        tag,
        issuer_year=told["issuer_year"],
        precision=told["precision"],
        second_reason=told["second_reason"],
        replaces=moved(told["replaces"], making.turn) if known else None,
        id=moved(told["id"], making.turn),
        past=WornBefore(
            date.fromisoformat(told["to"]) if told["to"] else None,
            told["ended"],
            told["ended_reason"],
            told["removed_at"],
            told["is_second"],
        ),
    )


def add_stay(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    """Add a stay in a group, which is made where the outfit has none of that name."""
    left = date.fromisoformat(one["to"]) if one["to"] else None
    group = _group(making, one["group"], source)
    stay = Stayed(animal_id, group, date.fromisoformat(one["on"]), left, moved(one["id"], making.turn), source)
    making.batch.stays.append(stay)


def add_leave(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    """Add that an animal left its group."""
    making.batch.leaves.append(Leave(animal_id, date.fromisoformat(one["on"]), source))


def _group(making: Making, name: str, source: Source) -> UUID:
    known = making.places.get((Group.SUBJECT, name)) or making.groups.get(name.casefold())
    if known is None:
        place = NewPlace(Group.SUBJECT, {"name": name}, source=source)
        making.batch.places.append(place)
        making.places[(Group.SUBJECT, name)] = making.groups[name.casefold()] = known = place.id
    return known


def add_places(making: Making, lines: Iterable[MergedLine]) -> None:
    """Add the groups and locations that lines bring, locations before the groups that lie there."""
    wanted = [one for line in lines for one in line.proposals if one["do"] == "place"]
    told = any("told" in one or one["do"] == "stay" or "id" in one for line in lines for one in line.proposals)
    if not wanted and not told:
        return
    for subject, rows in (
        (Group.SUBJECT, Group.objects.of(making.day.outfit).values_list("name", "id")),
        (Location.SUBJECT, Location.objects.of(making.day.outfit).values_list("name", "id")),
    ):
        making.places.update({(subject, name): key for name, key in rows})
    for one in sorted(wanted, key=lambda one: str(one["subject"]), reverse=True):
        place = NewPlace(one["subject"], dict(_facts(making, one)), source=making.sources.get(one["rows"][0], Source()))
        making.batch.places.append(place)
        making.places[(one["subject"], one["facts"]["name"])] = place.id
        if one["subject"] == Group.SUBJECT:
            making.groups.setdefault(one["facts"]["name"].casefold(), place.id)


def _facts(making: Making, one: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    yield from one["facts"].items()
    if one.get("location"):
        yield "location_id", making.places.get((Location.SUBJECT, one["location"]))


def named_here(making: Making, data: dict[str, Any]) -> dict[str, Any]:
    """An event's data with animals and places by our ids; what came in with it has one only now."""
    found = dict(data)
    for field, value in data.items():
        if not isinstance(value, str):
            continue
        if value in making.newcomers:
            found[field] = str(making.newcomers[value])
        elif value.startswith("place:"):
            known = making.places.get((Location.SUBJECT, value.removeprefix("place:")))
            found[field] = str(known) if known else value.removeprefix("place:")
    return found
