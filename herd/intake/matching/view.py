"""The record as far as a processing day concerns it: who wears and wore the numbers that were read."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple
from uuid import UUID


class Worn(NamedTuple):
    """A wearing of a number: by whom, and whether still."""

    id: UUID
    animal_id: UUID
    kind: str
    number: str
    colour: str
    is_open: bool
    ended: str = ""
    worn_to: date | None = None
    worn_from: date | None = None


@dataclass(slots=True)
class Card:
    """An animal of the record, as much of it as deciding needs."""

    id: UUID
    animal_class: str
    status: str
    since: date | None
    group_id: UUID | None
    born_on: date | None
    born_precision: str
    facts: dict[str, Any] = field(default_factory=dict)
    worn: list[Worn] = field(default_factory=list)

    def open(self, kind: str) -> Worn | None:
        """The tag of a kind that the animal wears now."""
        return next((one for one in self.worn if one.is_open and one.kind == kind), None)

    def was_on_hand(self, day: date) -> bool:
        """Whether it was in the herd on that day, as far as its present status tells."""
        return self.status == "on_hand" or (self.since is not None and day < self.since)

    def age_on(self, day: date) -> int | None:
        """Its age in days, or None where its birth is not known to the day or month, or lies later."""
        if self.born_on is None or self.born_precision not in {"instant", "day", "month"} or day < self.born_on:
            return None
        return (day - self.born_on).days

    @property
    def name(self) -> str:
        """What people call it."""
        vid, eid = self.open("vid"), self.open("eid")
        if vid:
            return " ".join(part for part in (vid.number, vid.colour) if part)
        return eid.number if eid else "an animal without a tag"

    @property
    def title(self) -> str:
        """Class and name."""
        return f"{self.animal_class or 'animal'} {self.name}"


@dataclass(slots=True)
class View:
    """What the record says about the numbers of a day."""

    day: date
    group_id: UUID | None = None
    group_name: str = ""
    expected: frozenset[UUID] = frozenset()
    cards: dict[UUID, Card] = field(default_factory=dict)
    by_number: dict[tuple[str, str], list[Worn]] = field(default_factory=lambda: defaultdict(list))
    near: dict[tuple[str, str], list[Worn]] = field(default_factory=lambda: defaultdict(list))
    tubes: dict[str, UUID] = field(default_factory=dict)
    makes_animals: bool = False

    def wearers(self, kind: str, number: str) -> list[Worn]:
        """Who wears the number now, on hand or not."""
        return [one for one in self.by_number.get((kind, number), []) if one.is_open]

    def former(self, kind: str, number: str) -> list[Worn]:
        """Who wore the number before."""
        return [one for one in self.by_number.get((kind, number), []) if not one.is_open]
