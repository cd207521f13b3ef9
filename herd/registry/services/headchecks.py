"""Head counts: keep one, and act on what it showed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import Animal, AnimalStatus, Group, HeadCheck
from herd.registry.queries.headchecks import compare, last_seen
from herd.registry.queries.stays import judge_move
from herd.registry.services.batch import Batch, Join, NewEvent, NewPlace
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.work import fetch
from herd.registry.services.writer import write


@dataclass(frozen=True, slots=True)
class Count:
    """What was counted: a figure, figures by class, the numbers read, or several of these."""

    counted: int | None = None
    by_class: Mapping[str, int] = field(default_factory=dict)
    numbers: Sequence[str] = ()
    note: str = ""


def keep(*, entry: Entry, group: Group, on: date, count: Count) -> UUID:
    """Keep a count of a group beside what the record expects that day, and return its id.

    Where no figure was given, it is what the numbers make. Raises Refused where nothing was counted, or the
    classes come to more than the figure.
    """
    if count.counted is None and not count.by_class and not count.numbers:
        raise Refused([Refusal("Give a figure, or numbers.", "counted")])
    if count.counted is not None and sum(count.by_class.values()) > count.counted:
        sentence = f"The classes come to {sum(count.by_class.values())}, more than {count.counted} head."
        raise Refused([Refusal(sentence, "counted")])
    comparison = compare(entry.outfit, group.pk, on, count.numbers)
    facts = {
        "group_id": group.pk,
        "counted_on": on,
        "counted": comparison.head if count.counted is None else count.counted,
        "by_class": dict(count.by_class),
        "numbers": list(count.numbers),
        "expected": comparison.expected,
        "note": count.note,
    }
    place = NewPlace(HeadCheck.SUBJECT, facts)
    write(entry, Batch(places=[place]))
    return place.id


def mark_missing(*, entry: Entry, check: HeadCheck, animal_ids: Sequence[UUID]) -> int:
    """Record that animals which a count did not see are missing since its day; return how many.

    Raises Refused for those that are not on hand, went to another group or were seen since, and then none is marked.
    """
    animals = fetch(Animal, entry.outfit, animal_ids)
    seen = last_seen(entry.outfit, animals)
    against = {key: _against_missing(check, animal, seen.get(key)) for key, animal in animals.items()}
    if any(against.values()):
        raise Refused([Refusal(reason, "animals", key) for key, reason in against.items() if reason])
    data = {"note": f"not seen when {check.group.name} was counted"}
    events = [NewEvent(one, "missing", check.counted_on, data) for one in dict.fromkeys(animal_ids)]
    write(entry, Batch(events=events))
    return len(events)


def take_in(*, entry: Entry, check: HeadCheck, animal_ids: Sequence[UUID]) -> int:
    """Move animals that a count saw beside those expected into the group on its day; return how many.

    One that is missing since before that day is found again. Raises Refused with a reason for each that can't join.
    """
    animals = fetch(Animal, entry.outfit, animal_ids)
    lost = {key for key, animal in animals.items() if _was_missing(animal, check.counted_on)}
    others = [one for one in animal_ids if one not in lost]
    verdict = judge_move(entry.outfit, others, check.group_id, check.counted_on)
    if verdict.refused:
        raise Refused([Refusal(reason, "animals", key) for key, reason in verdict.refused.items()])
    joining = [one for one in dict.fromkeys(animal_ids) if one in lost or one not in set(verdict.there)]
    data = {"note": f"seen when {check.group.name} was counted"}
    batch = Batch(
        events=[NewEvent(one, "found", check.counted_on, data) for one in joining if one in lost],
        joins=[Join(one, check.group_id, check.counted_on) for one in joining],
    )
    write(entry, batch)
    return len(joining)


def _against_missing(check: HeadCheck, animal: Animal, seen_on: date | None) -> str:
    """What speaks against an animal being missing since a count; empty where nothing does."""
    if not animal.is_on_hand:
        return f"It is {AnimalStatus(animal.status).label} already."
    if animal.group_id != check.group_id:
        return "It has left the group since."
    if seen_on is not None and seen_on > check.counted_on:
        return f"It was seen on {seen_on}, after the count."
    return ""


def _was_missing(animal: Animal, day: date) -> bool:
    since = animal.status_since
    return animal.status == AnimalStatus.MISSING and (since is None or since <= day)
