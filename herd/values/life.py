"""The fold of an animal's life: status, class, group and place from its events by effective time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from herd.values.eventkinds import EVENT_KINDS, LEAVING, Effect


@dataclass(frozen=True, slots=True)
class LifeEvent:
    """An event that changes an animal's standing; `place` is the location's id or name for a movement."""

    kind: str
    day: date | None
    id: UUID
    place: UUID | None = None


@dataclass(frozen=True, slots=True)
class Stay:
    """A membership: one group from a day to a day."""

    group: UUID
    joined: date
    left: date | None
    place: UUID | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an animal stands after its life so far."""

    status: str
    since: date | None
    animal_class: str
    group: UUID | None
    place: UUID | None


def fold_life(
    entry_class: str, entered: date | None, events: Iterable[LifeEvent], stays: Iterable[Stay]
) -> Standing:
    """Fold a life by (effective day, id), never by arrival, so that a late file changes history where it belongs.

    A dead animal stays dead whatever is dated later; a death that was wrong is voided. An event without a day
    counts as the earliest.
    """
    status, since, animal_class, moved = str(Effect.ON_HAND), entered, entry_class, None
    moved_on = date.min
    for event in sorted(events, key=lambda one: (one.day or date.min, one.id)):
        effect = EVENT_KINDS[event.kind].effect
        if effect is Effect.BECOMES_STEER:
            animal_class = "steer" if animal_class in {"bull", "", "steer"} else animal_class
        elif effect is Effect.BECOMES_COW:
            animal_class = "cow" if animal_class in {"heifer", "", "cow"} else animal_class
        elif effect is Effect.MOVES:
            moved, moved_on = event.place, event.day or date.min
        elif effect is not None and status != Effect.DEAD:
            status, since = str(effect), event.day
    last = max(stays, key=lambda stay: (stay.left is None, stay.joined), default=None)
    group = last.group if last is not None and last.left is None and status not in LEAVING else None
    place = moved
    if last is not None and group is not None and last.joined >= moved_on:
        place = last.place or moved
    return Standing(status, since, animal_class, group, place if status not in LEAVING else None)
