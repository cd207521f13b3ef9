"""What changed a head count: each coming, going and change of class in an animal's life, one by one."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from herd.registry.models import AnimalStatus
from herd.registry.queries.groupplaces import GroupPlaces
from herd.registry.queries.headcount import CALF_DAYS, counted_as
from herd.registry.queries.lives import Life
from herd.values.eventkinds import EVENT_KINDS, LEAVING, Effect
from herd.values.life import LifeEvent

# Only status and class are asked for here, never the place.
_NOWHERE = GroupPlaces({})
_A_DAY = timedelta(days=1)
_WENT = {
    AnimalStatus.SOLD: "sales",
    AnimalStatus.DEAD: "deaths",
    AnimalStatus.MISSING: "missing",
    AnimalStatus.TRANSFERRED: "transfers_out",
}


@dataclass(frozen=True, slots=True)
class Move:
    """One head more or less of one class: `way` is a count of herd.values.inventory.Flow, `name` the class.

    `event_id` is the event behind it; None where the animal came into the record or turned a year old. Of a change
    of class there are two moves, each with the class on its other side.
    """

    animal_id: UUID
    day: date
    way: str
    name: str
    event_id: UUID | None = None
    other: str = ""


@dataclass(frozen=True, slots=True)
class _State:
    """How an animal counts at one moment: its status, and the class it is counted under."""

    status: str
    name: str

    @property
    def counts(self) -> bool:
        return self.status == AnimalStatus.ON_HAND


def moves_in(life: Life, first: date, last: date, *, is_bred: bool = False) -> Iterator[Move]:
    """Walk a life from the first day to the last, event by event, so that a day with two of them tells both.

    `is_bred` says that the dam was in the herd at the birth, so that a calf registered late still counts as born.
    """
    before = _state(life, first - _A_DAY)
    for day in _days(life, first, last):
        for at, event in _moments(life, day):
            after = _state(at, day)
            coming = _entry_way(life, day, is_bred=is_bred) if before is None else _back(event)
            for way, name, other in _between(before, after, coming):
                yield Move(life.id, day, way, name, event.id if event else None, other)
            before = after


def _days(life: Life, first: date, last: date) -> list[date]:
    """The days on which the animal may begin to count otherwise."""
    found = set(life.days(first, last))
    if life.born_on is not None:
        found |= {day for day in (life.born_on, life.born_on + timedelta(days=CALF_DAYS)) if first <= day <= last}
    return sorted(found)


def _moments(life: Life, day: date) -> Iterator[tuple[Life, LifeEvent | None]]:
    """The life as it stood when the day began, then with one more of the day's events at a time."""
    so_far = [one for one in life.events if one.day is None or one.day < day]
    yield replace(life, events=so_far), None
    for event in sorted((one for one in life.events if one.day == day), key=lambda one: one.id):
        so_far = [*so_far, event]
        yield replace(life, events=so_far), event


def _state(life: Life, day: date) -> _State | None:
    standing = life.on(day, _NOWHERE)
    if standing is None:
        return None
    return _State(standing.status, counted_as(standing.animal_class, life.born_on, day))


def _between(before: _State | None, after: _State | None, coming: str) -> Iterator[tuple[str, str, str]]:
    """The ways, with the class and the class on the other side, that lead from one moment to the next.

    `coming` is the way by which one comes that did not count before.
    """
    was, now = before is not None and before.counts, after is not None and after.counts
    if before and was and after and now:
        if before.name != after.name:
            yield "class_out", before.name, after.name
            yield "class_in", after.name, before.name
    elif after and now:
        yield coming, after.name, ""
    elif before and was:
        # An animal that isn't in the herd yet after all, by a later day of entry, goes as one transferred does.
        yield (_WENT[AnimalStatus(after.status)] if after else "transfers_out"), before.name, ""
    elif before and after and before.status == AnimalStatus.MISSING and after.status in LEAVING - {Effect.MISSING}:
        # Whoever is sold or dies was not missing any more: found, and gone.
        yield "found", after.name, ""
        yield _WENT[AnimalStatus(after.status)], after.name, ""


def _back(event: LifeEvent | None) -> str:
    return "purchases" if event is not None and event.kind == "purchase" else "found"


def _entry_way(life: Life, day: date, *, is_bred: bool) -> str:
    """How an animal came into the record: bought where a purchase is the first that changed its status, or born."""
    coming = (one for one in sorted(life.events, key=_order) if EVENT_KINDS[one.kind].effect in _TURNS)
    first = next(coming, None)
    if first is not None and first.kind == "purchase":
        return "purchases"
    return "births" if is_bred or life.born_on == day else "transfers_in"


_TURNS = LEAVING | {Effect.ON_HAND}


def _order(event: LifeEvent) -> tuple[date, UUID]:
    return event.day or date.min, event.id
