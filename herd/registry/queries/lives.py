"""Lives of animals: what is needed to say how each stood on any day."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import STEP
from herd.registry.models import Animal, Event, GroupMembership
from herd.registry.queries.groupplaces import GroupPlaces
from herd.values.eventkinds import STANDING_KINDS
from herd.values.life import LifeEvent, Standing, Stay, fold_life


@dataclass(frozen=True, slots=True)
class Life:
    """One animal's events that change its standing, and its stays in groups."""

    id: UUID
    entry_class: str
    entered_on: date | None
    born_on: date | None
    events: list[LifeEvent]
    stays: list[Stay]

    def on(self, day: date, places: GroupPlaces) -> Standing | None:
        """How the animal stood at the end of a day by what is known now; None before it was in the herd.

        A stay counts from the day of joining to the day before leaving, as in `members_on`.
        """
        events = [one for one in self.events if one.day is None or one.day <= day]
        stays = [
            Stay(one.group, one.joined, None if one.left and one.left > day else one.left, places.at(one.group, day))
            for one in self.stays
            if one.joined <= day
        ]
        standing = fold_life(self.entry_class, self.entered_on, events, stays)
        is_here = not (_is_after(self.entered_on, day) or _is_after(self.born_on, day))
        return standing if is_here or standing.group is not None else None

    def days(self, first: date, last: date) -> list[date]:
        """The days from first to last on which something in the life changes, in order."""
        found = {one.day for one in self.events} | {one.joined for one in self.stays}
        found |= {one.left for one in self.stays} | {self.entered_on}
        return sorted(day for day in found if day is not None and first <= day <= last)


def lives_of(outfit: Outfit, animal_ids: Iterable[UUID]) -> Iterator[Life]:
    """Yield the lives of these animals, in three queries for each step of some hundred."""
    for ids in _in_batches(animal_ids):
        # Asked for by animal alone: given the outfit too, SQLite goes through all of its rows for each step.
        rows = Animal.objects.filter(pk__in=ids, is_void=False).order_by()
        columns = ("pk", "outfit_id", "entry_class", "entered_on", "born_on")
        animals = {key: facts for key, owner, *facts in rows.values_list(*columns) if owner == outfit.pk}
        events, stays = _events_of(list(animals)), _stays_of(list(animals))
        for key in sorted(animals):
            entry_class, entered_on, born_on = animals[key]
            yield Life(key, entry_class, entered_on, born_on, events[key], stays[key])


def _events_of(ids: list[UUID]) -> dict[UUID, list[LifeEvent]]:
    events: dict[UUID, list[LifeEvent]] = defaultdict(list)
    rows = Event.objects.filter(animal__in=ids, kind__in=STANDING_KINDS, is_void=False).order_by()
    for kind, day, key, animal_id, data in rows.values_list("kind", "happened_on", "id", "animal_id", "data"):
        events[animal_id].append(LifeEvent(kind, day, key, _place(data)))
    return events


def _stays_of(ids: list[UUID]) -> dict[UUID, list[Stay]]:
    stays: dict[UUID, list[Stay]] = defaultdict(list)
    rows = GroupMembership.objects.filter(animal__in=ids, is_void=False).order_by()
    for animal_id, group, since, left in rows.values_list("animal_id", "group_id", "joined_on", "left_on"):
        stays[animal_id].append(Stay(group, since, left))
    return stays


def _in_batches(ids: Iterable[UUID]) -> Iterator[list[UUID]]:
    """Cut ids into lists short enough for one statement, without holding them all."""
    coming = iter(ids)
    while some := list(islice(coming, STEP)):
        yield some


def _place(data: dict[str, Any]) -> UUID | None:
    try:
        return UUID(str(data.get("location")))
    except ValueError:
        return None


def _is_after(known: date | None, day: date) -> bool:
    return known is not None and known > day
