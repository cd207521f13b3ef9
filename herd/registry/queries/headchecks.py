"""A count held against the record: who was seen where expected, who was not, and who was not expected."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from django.db.models import Max

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Event, HeadCheck
from herd.registry.queries.groupplaces import group_places
from herd.registry.queries.headcount import counted_as, members_on
from herd.registry.queries.lives import lives_of
from herd.registry.queries.whose import Told, whose
from herd.values.life import Standing

# An event of these kinds says nothing of the animal having been seen.
UNSEEING = ("missing", "note", "sample_result")


@dataclass(slots=True)
class Comparison:
    """A count of a group beside the record of that day, as the record is now.

    `seen` were expected and are there; `unseen` were expected only; `extra` were seen only. `doubles` are numbers
    of animals that were read more than once, with how often. `untold` name no animal, or can't be read.
    """

    expected: int
    seen: list[UUID] = field(default_factory=list)
    unseen: list[UUID] = field(default_factory=list)
    extra: list[UUID] = field(default_factory=list)
    doubles: dict[UUID, int] = field(default_factory=dict)
    untold: list[Told] = field(default_factory=list)
    texts: dict[UUID, str] = field(default_factory=dict)

    @property
    def head(self) -> int:
        """How many head the numbers make: each animal once, and each number that names none."""
        return len(self.seen) + len(self.extra) + sum(one.is_read for one in self.untold)


@dataclass(frozen=True, slots=True)
class ClassDifference:
    """The head of one class as counted and as the record has it."""

    name: str
    counted: int
    expected: int

    @property
    def difference(self) -> int:
        """Counted less expected."""
        return self.counted - self.expected


def compare(outfit: Outfit, group_id: UUID, day: date, numbers: Sequence[str]) -> Comparison:
    """Hold numbers read in a group on a day against its members that day."""
    members = members_on(outfit, group_id, day)
    told = whose(outfit, numbers, day, frozenset(members))
    times = Counter(one.animal_id for one in told if one.animal_id)
    texts = {one.animal_id: one.text for one in reversed(told) if one.animal_id}
    expected = set(members)
    return Comparison(
        len(members),
        seen=[one for one in members if one in times],
        unseen=[one for one in members if one not in times],
        extra=[one for one in times if one not in expected],
        doubles={one: number for one, number in times.items() if number > 1},
        untold=[one for one in told if one.animal_id is None],
        texts=texts,
    )


def by_class_on(outfit: Outfit, group_id: UUID, day: date) -> dict[str, int]:
    """The members of a group on a day by class, as they were that day."""
    places = group_places(outfit)
    counted: Counter[str] = Counter()
    for life in lives_of(outfit, members_on(outfit, group_id, day)):
        standing = life.on(day, places)
        if standing is not None:
            counted[counted_as(standing.animal_class, life.born_on, day)] += 1
    return dict(counted)


def class_differences(check: HeadCheck, recorded: dict[str, int]) -> list[ClassDifference]:
    """For each class that was counted apart, the count beside the record."""
    return [ClassDifference(name, head, recorded.get(name, 0)) for name, head in check.by_class.items()]


def last_seen(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, date]:
    """The last day on which an event says that the animal was there; animals without any are not in it."""
    found: dict[UUID, date] = {}
    for ids in in_steps(animal_ids):
        rows = Event.objects.of(outfit).filter(animal__in=ids, happened_on__isnull=False)
        rows = rows.exclude(kind__in=UNSEEING).order_by()
        found.update(rows.values_list("animal").annotate(Max("happened_on")))
    return found


def standings_on(outfit: Outfit, animal_ids: Iterable[UUID], day: date) -> dict[UUID, Standing | None]:
    """How each of these animals stood on a day; None before it was in the herd."""
    places = group_places(outfit)
    return {life.id: life.on(day, places) for life in lives_of(outfit, animal_ids)}
