"""Two records that may be of one animal: what each holds, where they differ, what stands twice."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, GroupMembership, TagKind, TagWearing
from herd.values.eventkinds import EVENT_KINDS

# Facts that a person chooses between, by the column that stands for them; a birth and its precision go together.
FACTS: dict[str, tuple[str, ...]] = {
    "entry_class": ("entry_class",),
    "entered_on": ("entered_on",),
    "born_on": ("born_on", "born_precision"),
    "breed": ("breed",),
    "coat": ("coat",),
    "origin": ("origin",),
    "dam_id": ("dam_id",),
    "sire_id": ("sire_id",),
}


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two records with everything that stands on it."""

    animal: Animal
    wearings: list[TagWearing]
    stays: list[GroupMembership]
    events: list[Event]
    calves: list[Animal]

    @property
    def open_eid(self) -> TagWearing | None:
        """The EID it wears now, a second one left aside."""
        open_ones = (one for one in self.wearings if one.is_open and one.kind == TagKind.EID)
        return next((one for one in open_ones if not one.is_second), None)

    @property
    def open_stay(self) -> GroupMembership | None:
        """The membership that has not ended."""
        return next((one for one in self.stays if one.left_on is None), None)


@dataclass(frozen=True, slots=True)
class Difference:
    """A fact in which the two differ. `takes_other` is what stands unless a person says otherwise."""

    name: str
    kept: Any
    other: Any
    takes_other: bool


@dataclass(frozen=True, slots=True)
class Twofold:
    """The two records side by side. `doubles` are events of the other that the kept one has as well."""

    kept: Side
    other: Side
    differences: list[Difference]
    doubles: list[tuple[Event, Event]]
    obstacles: list[str]

    @property
    def has_two_eids(self) -> bool:
        """Whether both wear an EID now."""
        return self.kept.open_eid is not None and self.other.open_eid is not None

    @property
    def has_two_groups(self) -> bool:
        """Whether they are in two different groups now."""
        mine, its = self.kept.open_stay, self.other.open_stay
        return mine is not None and its is not None and mine.group_id != its.group_id


def compare(outfit: Outfit, kept_id: UUID, other_id: UUID) -> Twofold | None:
    """Put two records beside each other; None where the outfit does not have both. Ten queries."""
    animals = Animal.objects.of(outfit).select_related("group").in_bulk([kept_id, other_id])
    if kept_id == other_id or len(animals) < len({kept_id, other_id}):
        return None
    kept, other = side_of(outfit, animals[kept_id]), side_of(outfit, animals[other_id])
    return Twofold(
        kept,
        other,
        list(_differences(kept.animal, other.animal)),
        list(_doubles(kept.events, other.events)),
        list(_obstacles(kept, other)),
    )


def side_of(outfit: Outfit, animal: Animal) -> Side:
    """Everything that stands on one record, in four queries."""
    mine: dict[str, Any] = {"animal": animal}
    return Side(
        animal,
        list(TagWearing.objects.of(outfit).filter(**mine).select_related("tag").order_by("worn_from", "id")),
        list(GroupMembership.objects.of(outfit).filter(**mine).select_related("group").order_by("joined_on", "id")),
        list(Event.objects.of(outfit).filter(**mine).order_by("happened_on", "id")),
        list(Animal.objects.of(outfit).filter(Q(dam=animal.pk) | Q(sire=animal.pk)).order_by("born_on", "pk")),
    )


def _differences(kept: Animal, other: Animal) -> Iterable[Difference]:
    for name, columns in FACTS.items():
        mine = [getattr(kept, column) for column in columns]
        its = [getattr(other, column) for column in columns]
        # Where the other says nothing there is nothing to choose.
        if mine == its or its[0] in (None, ""):
            continue
        is_empty = mine[0] in (None, "")
        is_earlier = name == "entered_on" and not is_empty and its[0] < mine[0]
        yield Difference(name, mine[0], its[0], is_empty or is_earlier)


def _doubles(mine: list[Event], its: list[Event]) -> Iterable[tuple[Event, Event]]:
    known: dict[Any, Event] = {}
    for event in mine:
        known.setdefault(sameness(event), event)
    for event in its:
        if event.happened_on is not None and (twin := known.get(sameness(event))):
            yield twin, event


def sameness(event: Event) -> tuple[Any, ...]:
    """What two records of one happening have in common: kind, day, and the field that tells two of a day apart."""
    declared = EVENT_KINDS.get(event.kind)
    main = event.data.get(declared.main) if declared and declared.main else None
    return event.kind, event.happened_on, event.weight_ng or str(main or "")


def _obstacles(kept: Side, other: Side) -> Iterable[str]:
    for one, parent in ((kept.animal, other.animal), (other.animal, kept.animal)):
        if parent.pk in (one.dam_id, one.sire_id):
            yield "One of them is recorded as the other’s dam or sire; put that right first."
            break
    both = [*kept.calves, *other.calves]
    ids = {kept.animal.pk, other.animal.pk}
    if any(calf.dam_id in ids for calf in both) and any(calf.sire_id in ids for calf in both):
        yield "One has calves as their dam, the other as their sire; one animal can’t be both."
