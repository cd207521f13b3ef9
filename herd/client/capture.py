"""Makes operations of what is captured: checked as far as it can be here, timed by the machine's clocks."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from herd.client.clocks import Clocks
from herd.client.copy import Card
from herd.client.faults import Unfit
from herd.client.outbox import Draft
from herd.client.subjects import Subject, read_kind, read_subject
from herd.values.eventdata import UnreadableField, read_event_data
from herd.values.eventkinds import check_event
from herd.values.identity import new_id
from herd.values.mass import WeightUnit

FACTS = frozenset(
    {"entry_class", "entered_on", "born_on", "born_precision", "breed", "coat", "origin", "dam", "sire"}
)
ENDED = ("lost", "broken", "unreadable", "replaced", "removed", "data_error")


def timed(clocks: Clocks, at: datetime | None) -> dict[str, object]:
    """When it happens: now, by both clocks, or at a moment that the caller knows; raises Unfit."""
    if at is None:
        return {"at": clocks.now().isoformat(), "mono_ms": clocks.steady_ms(), "boot": clocks.boot}
    if at.tzinfo is None or not 1990 <= at.year <= 2200:
        raise Unfit("A moment needs its time zone, and a year that can be.")
    # The steady clock says nothing of a moment that the caller gives.
    return {"at": at.isoformat()}


def event(kind: str, subject: Subject, data: Mapping[str, Any], when: Mapping[str, object]) -> Draft:
    """Something that happened to an animal; raises Unfit with all that is wrong."""
    sent, who = read_subject(subject)
    said = {"kind": kind, "data": checked(kind, data)}
    return Draft("event", {**when, "subject": sent, "data": said}, who)


def checked(kind: str, data: Mapping[str, Any]) -> dict[str, Any]:
    """An event's data in the record's spelling; raises Unfit. A weight says its unit: none is guessed."""
    if data.get("weight") not in (None, "") and data.get("unit") not in set(WeightUnit):
        raise Unfit("A weight needs its unit: lb or kg.")
    try:
        read = read_event_data(data, WeightUnit.KG).data
    except UnreadableField as problem:
        raise Unfit(str(problem)) from problem
    wrong = check_event(kind, dict(read))
    if wrong:
        raise Unfit(" ".join(wrong))
    return read


def registration(
    tags: Sequence[Mapping[str, str]], facts: Mapping[str, Any], group: str, when: Mapping[str, object]
) -> Draft:
    """A new animal under an id of this device's making; raises Unfit."""
    key = str(new_id())
    typed = [read_kind(tag.get("kind", ""), tag.get("number", ""), tag.get("colour", "")) for tag in tags]
    data: dict[str, Any] = {
        "facts": {name: plain(value) for name, value in known_facts(facts).items()},
        "tags": [{"kind": one.kind, "number": one.number, "colour": one.colour} for one in typed],
    }
    if group:
        data["group"] = group
    worn = [(key, one.kind, one.number, one.colour) for one in typed]
    return Draft("animal.register", {**when, "subject": {"animal": key}, "data": data}, f"animal:{key}", worn)


def edit(card: Card, changes: Mapping[str, Any], when: Mapping[str, object]) -> Draft:
    """New values for facts, each beside the value that the card shows; raises Unfit."""
    wanted = {
        name: {"from": card.get(name), "to": plain(value)} for name, value in known_facts(changes).items()
    }
    if not wanted:
        raise Unfit("An edit sets at least one fact.")
    return Draft("animal.edit", {**when, "subject": {"animal": card["id"]}, "set": wanted}, f"animal:{card['id']}")


def known_facts(facts: Mapping[str, Any]) -> Mapping[str, Any]:
    """The facts as given; raises Unfit for a name that is no fact of an animal."""
    unknown = sorted(set(facts) - FACTS)
    if unknown:
        raise Unfit(f"An animal has no fact called {', '.join(unknown)[:80]}; there are {', '.join(sorted(FACTS))}.")
    return facts


def tag_on(animal: str, tag: Mapping[str, str], second_reason: str, when: Mapping[str, object]) -> Draft:
    """A tag put on an animal; raises Unfit."""
    one = read_kind(tag["kind"], tag["number"], tag.get("colour", ""))
    data = {"kind": one.kind, "number": one.number, "colour": one.colour, "second_reason": second_reason}
    worn = [(animal, one.kind, one.number, one.colour)]
    return Draft("tag.on", {**when, "subject": {"animal": animal}, "data": data}, f"animal:{animal}", worn)


def tag_off(animal: str, old: Mapping[str, str], new_number: str, ended: str, when: Mapping[str, object]) -> Draft:
    """A tag that is off an animal, and what took its place where something did; raises Unfit."""
    if ended not in ENDED:
        raise Unfit(f"{ended[:40]!r} is no reason for taking a tag off: {', '.join(ENDED)}.")
    gone = read_kind(old["kind"], old["number"])
    data, worn = {"kind": gone.kind, "number": gone.number, "ended": ended}, []
    if new_number:
        new = read_kind(gone.kind, new_number, old.get("colour", ""))
        data |= {"new_number": new.number, "colour": new.colour}
        worn = [(animal, new.kind, new.number, new.colour)]
    return Draft("tag.off", {**when, "subject": {"animal": animal}, "data": data}, f"animal:{animal}", worn)


def move(subject: Subject, group: str, when: Mapping[str, object]) -> Draft:
    """An animal put into a group; raises Unfit."""
    sent, who = read_subject(subject)
    return Draft("move", {**when, "subject": sent, "data": {"group": group}}, who)


def about_event(kind: str, event_id: UUID, data: Mapping[str, Any], who: str, when: Mapping[str, object]) -> Draft:
    """An event taken back or corrected."""
    return Draft(kind, {**when, "data": {"event": str(event_id), **data}}, who)


def plain(value: object) -> object:
    """A fact as JSON says it."""
    if isinstance(value, date | UUID):
        return str(value)
    return value
