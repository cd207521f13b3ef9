"""Turns a day's proposals into one batch for the registry."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any
from uuid import UUID

from herd.intake.models import MergedLine, ProcessingDay, StagedRow
from herd.intake.steps.making import Making
from herd.intake.steps.whole import (
    add_leave,
    add_places,
    add_stay,
    moved,
    named_here,
    turn_of,
    wearings_of,
    whole_wearing,
)
from herd.ledger.entry import Source
from herd.ledger.rows import in_steps, read_rows
from herd.registry.models import Event, Group
from herd.registry.services.batch import (
    Batch,
    Edit,
    Join,
    NewAnimal,
    NewEvent,
    NewPlace,
    PutOn,
    TakeOff,
    VoidEvent,
)
from herd.values.eventkinds import EVENT_KINDS, LEAVING

DATES = ("born_on", "entered_on")
PARENTS = ("dam_id", "sire_id")


def make_batch(
    day: ProcessingDay, lines: Iterable[MergedLine], sources: Mapping[str, Source] | None = None
) -> Batch:
    """Return what these lines propose as one batch, each part with the file and line it came from.

    `sources` gives those of rows that are staged nowhere, by the rows' ids.
    """
    listed = [line for line in lines if line.proposals]
    turn = turn_of(one for line in listed for one in line.proposals)
    newcomers = {line.key: _newcomer_id(line, turn) for line in listed if line.key.startswith("new:")}
    groups = Group.objects.of(day.outfit).values_list("name", "id")
    by_name = {name.casefold(): key for name, key in groups}
    making = Making(
        day, sources or _sources(listed), newcomers, by_name, frozenset(newcomers.values()), turn, wearings_of(listed)
    )
    add_places(making, listed)
    for line in listed:
        _add_line(making, line)
    return making.batch


def name_by_row(batch: Batch) -> None:
    """Give each event the id of the row it came with: that is the operation's, by which the device can name it."""
    taken: set[UUID] = set()
    for ids in in_steps({event.source.row for event in batch.events if event.source.row}):
        taken.update(Event.objects.filter(pk__in=ids).values_list("pk", flat=True))
    for place, event in enumerate(batch.events):
        if event.source.row and event.source.row not in taken:
            taken.add(event.source.row)
            batch.events[place] = replace(event, id=event.source.row)


def _sources(lines: list[MergedLine]) -> dict[str, Source]:
    wanted = {row for line in lines for one in line.proposals for row in one["rows"][:1]}
    found: dict[str, Source] = {}
    for ids in in_steps(wanted):
        for key, name, line in read_rows(StagedRow.objects.filter(pk__in=ids).values_list("id", "file__name", "line")):
            found[str(key)] = Source(name[:200], line, key)
    return found


def _add_line(making: Making, line: MergedLine) -> None:
    animal_id = making.newcomers.get(line.key) or line.animal_id
    if animal_id is None:
        return
    if line.key.startswith("new:"):
        line.animal_id = animal_id
        _add_newcomer(making, line, animal_id)
    for one in line.proposals:
        if one["do"] in ADDING:
            ADDING[one["do"]](making, one, animal_id, _source(making, one))


def _source(making: Making, proposal: dict[str, Any]) -> Source:
    rows = proposal["rows"]
    return making.sources.get(rows[0], Source()) if rows else Source()


def _add_newcomer(making: Making, line: MergedLine, animal_id: UUID) -> None:
    facts: dict[str, Any] = {}
    for one in line.proposals:
        if one["do"] == "fact":
            facts.update(_facts(making, one["facts"]))
    source = _source(making, line.proposals[0])
    making.batch.animals.append(NewAnimal(facts, animal_id, source))
    leaves = any(
        one["do"] == "event" and EVENT_KINDS[one["kind"]].effect in LEAVING for one in line.proposals
    )
    if leaves:
        line.proposals = [one for one in line.proposals if one["do"] != "join"]
    elif making.day.group and not any(one["do"] == "join" for one in line.proposals):
        making.batch.joins.append(Join(animal_id, making.day.group.pk, making.day.worked_on, source))


def _facts(making: Making, facts: dict[str, Any]) -> dict[str, Any]:
    """Facts as the registry's columns hold them; a parent among the newcomers by its new id."""
    found: dict[str, Any] = {}
    for name, value in facts.items():
        if name in DATES:
            found[name] = date.fromisoformat(value)
        elif name in PARENTS:
            parent = making.newcomers.get(value) or (None if value.startswith("new:") else UUID(value))
            if parent is not None:
                found[name] = parent
        else:
            found[name] = value
    return found


def _add_fact(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    # A newcomer's facts went into the record with it.
    if animal_id not in making.new_ids:
        making.batch.edits.append(Edit(animal_id, _facts(making, one["facts"]), source=source))


def _add_tag(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    day = date.fromisoformat(one["on"]) if one["on"] else None
    tag = PutOn(
        animal_id,
        one["kind"],
        one["number"],
        one["colour"],
        worn_from=day,
        precision="day" if day else "unknown",
        began=one["began"],
        source=source,
    )
    making.batch.put_on.append(whole_wearing(making, tag, one["told"]) if "told" in one else tag)


def _take_tag_off(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    off = TakeOff(UUID(one["wearing"]), date.fromisoformat(one["on"]), one["ended"], source)
    making.batch.take_off.append(off)


def _add_event(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    day = date.fromisoformat(one["on"]) if one["on"] else None
    at = datetime.fromisoformat(one["at"]) if one.get("at") else _instant(making.day, day, one.get("time"))
    supersedes = UUID(one["supersedes"]) if one.get("supersedes") else None
    if supersedes:
        making.batch.voids.append(VoidEvent(supersedes, "corrected from a field file", source))
    making.batch.events.append(
        NewEvent(
            animal_id,
            one["kind"],
            day,
            named_here(making, one["data"]) if "id" in one else one["data"],
            happened_at=at,
            precision="instant" if at and "id" not in one else one["precision"],
            weight_ng=one["ng"],
            supersedes=supersedes,
            id=moved(one.get("id"), making.turn),
            source=source,
        )
    )


def _instant(day: ProcessingDay, on: date | None, clock: str | None) -> datetime | None:
    """The field clock's instant in the outfit's zone, where the row has a time."""
    if on is None or not clock:
        return None
    return datetime.combine(on, time.fromisoformat(clock), tzinfo=day.outfit.zone)


def _newcomer_id(line: MergedLine, turn: int) -> UUID:
    given = (one["id"] for one in line.proposals if one["do"] == "new_animal" and one.get("id"))
    return moved(next(given, None), turn)


def _add_join(making: Making, one: dict[str, Any], animal_id: UUID, source: Source) -> None:
    name, on = one["group"], date.fromisoformat(one["on"])
    key = name.casefold()
    if key not in making.groups:
        place = NewPlace(Group.SUBJECT, {"name": name[:80]}, source=source)
        making.batch.places.append(place)
        making.groups[key] = place.id
    making.batch.joins.append(Join(animal_id, making.groups[key], on, source))


ADDING = {
    "fact": _add_fact,
    "tag_on": _add_tag,
    "tag_off": _take_tag_off,
    "event": _add_event,
    "join": _add_join,
    "worn": _add_tag,
    "stay": add_stay,
    "leave": add_leave,
}
