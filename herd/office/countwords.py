"""A head count in words: its figures, and each animal or number that did not come out even."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.queries.sightings import last_read
from herd.ledger.rows import in_steps
from herd.office.naming import name_of
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.registry.models import Animal, AnimalStatus, Group, HeadCheck
from herd.registry.queries.headchecks import (
    ClassDifference,
    Comparison,
    by_class_on,
    class_differences,
    compare,
    last_seen,
    standings_on,
)
from herd.registry.queries.stays import judge_move
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.queries.whose import Told
from herd.values.life import Standing

COLUMNS = ("What", "Number read", "Visual tag", "EID", "About it")


@dataclass(frozen=True, slots=True)
class Line:
    """One animal of a count: what it wears, what is to be said of it, and whether it can be acted upon."""

    animal_id: UUID
    worn: Worn
    words: str
    can_act: bool = False
    text: str = ""

    @property
    def name(self) -> str:
        """What people call it."""
        return name_of(self.worn)


@dataclass(frozen=True, slots=True)
class Result:
    """A count beside the record as it is now."""

    check: HeadCheck
    group: Group
    comparison: Comparison
    classes: list[ClassDifference]
    unseen: list[Line]
    extra: list[Line]
    doubles: list[Line]
    names: Mapping[UUID, Worn]

    @property
    def has_numbers(self) -> bool:
        """Whether numbers were read, so that animals can be told."""
        return bool(self.check.numbers)

    @property
    def head(self) -> int:
        """The head counted."""
        return self.check.counted or 0

    @property
    def difference(self) -> int:
        """Head counted less head expected, by the record as it is now."""
        return self.head - self.comparison.expected

    @property
    def unread(self) -> int:
        """How many head of the figure have no number among those read."""
        return max(0, self.head - self.comparison.head) if self.has_numbers else 0

    @property
    def can_mark(self) -> bool:
        """Whether any of those not seen can be marked missing."""
        return any(one.can_act for one in self.unseen)

    @property
    def can_take(self) -> bool:
        """Whether any of those seen beside the members can join the group."""
        return any(one.can_act for one in self.extra)

    @property
    def untold(self) -> list[tuple[Told, list[tuple[UUID, str]]]]:
        """Numbers that name no animal, with those that may have been meant."""
        return [
            (one, [(key, name_of(self.names[key])) for key in one.may_be]) for one in self.comparison.untold
        ]


def result_of(outfit: Outfit, check: HeadCheck) -> Result:
    """Hold a kept count against the record as it is now."""
    day, group = check.counted_on, check.group
    comparison = compare(outfit, group.pk, day, check.numbers)
    classes = class_differences(check, by_class_on(outfit, group.pk, day)) if check.by_class else []
    if not check.numbers:
        return Result(check, group, comparison, classes, [], [], [], {})
    may_be = [key for one in comparison.untold for key in one.may_be]
    worn = worn_by(outfit, [*comparison.unseen, *comparison.extra, *comparison.doubles, *may_be])
    doubles = [
        Line(key, worn[key], f"read {times} times, counted once", text=comparison.texts[key])
        for key, times in comparison.doubles.items()
    ]
    unseen = _unseen(outfit, check, comparison, worn)
    return Result(check, group, comparison, classes, unseen, _extra(outfit, check, comparison, worn), doubles, worn)


def _unseen(outfit: Outfit, check: HeadCheck, comparison: Comparison, worn: Mapping[UUID, Worn]) -> list[Line]:
    day, animals = check.counted_on, _animals(outfit, comparison.unseen)
    seen, read = last_seen(outfit, comparison.unseen), last_read(outfit, comparison.unseen)
    lines = []
    for key in comparison.unseen:
        last, animal = max(filter(None, (seen.get(key), read.get(key))), default=None), animals[key]
        words = f"last seen {say_day(last)}" if last else "nothing says when it was seen last"
        can_act = animal.is_on_hand and animal.group_id == check.group_id and not (last and last > day)
        if not animal.is_on_hand:
            words = f"{AnimalStatus(animal.status).label} since {say_day(animal.status_since)}"
        elif animal.group_id != check.group_id:
            words += ", left the group since"
        elif last and last > day:
            words += ", after the count"
        lines.append(Line(key, worn[key], words, can_act))
    return lines


def _extra(outfit: Outfit, check: HeadCheck, comparison: Comparison, worn: Mapping[UUID, Worn]) -> list[Line]:
    day, animals = check.counted_on, _animals(outfit, comparison.extra)
    standings = standings_on(outfit, comparison.extra, day)
    groups = dict(Group.objects.of(outfit).values_list("pk", "name"))
    verdict = judge_move(outfit, comparison.extra, check.group_id, day)
    lines = []
    for key in comparison.extra:
        animal = animals[key]
        words = _where(standings.get(key), groups)
        is_lost = animal.status == AnimalStatus.MISSING and (animal.status_since or date.min) <= day
        if is_lost:
            words = f"missing since {say_day(animal.status_since)}: it is found"
        elif key in verdict.there:
            words += "; it joined this group later"
        elif key in verdict.refused:
            words += f". {verdict.refused[key]} Look whether the tag was read right."
        can_act = is_lost or key in verdict.movable
        lines.append(Line(key, worn[key], words, can_act, comparison.texts[key]))
    return lines


def _animals(outfit: Outfit, ids: Sequence[UUID]) -> dict[UUID, Animal]:
    found: dict[UUID, Animal] = {}
    for some in in_steps(ids):
        found.update(Animal.objects.of(outfit).in_bulk(some))
    return found


def _where(standing: Standing | None, groups: Mapping[UUID, str]) -> str:
    """Where the record has an animal on the day of the count."""
    if standing is None:
        return "not in the herd that day"
    if standing.status != AnimalStatus.ON_HAND:
        return f"{AnimalStatus(standing.status).label} since {say_day(standing.since)}"
    return f"in {groups.get(standing.group, 'another group')}" if standing.group else "in no group"


def result_table(result: Result) -> Table:
    """A count's result as it leaves the site."""
    check, even = result.check, "as expected" if result.difference == 0 else f"a difference of {result.difference:+}"
    about = (
        f"{result.group.name} on {say_day(check.counted_on)}: {result.head} head counted, "
        f"{result.comparison.expected} expected, {even}."
    )
    return Table(f"Head count of {result.group.name} {check.counted_on}", COLUMNS, _cells(result), about)


def _cells(result: Result) -> Iterator[list[Cell]]:
    for one in result.classes:
        yield [f"class {one.name}", "", "", "", f"{one.counted} counted, {one.expected} expected"]
    for what, lines in (
        ("expected, not seen", result.unseen),
        ("seen, not expected", result.extra),
        ("read more than once", result.doubles),
    ):
        for line in lines:
            tag = " ".join(part for part in (line.worn.vid, line.worn.vid_colour) if part)
            yield [what, line.text, tag, line.worn.eid, line.words]
    for told, may_be in result.untold:
        near = f" It may be {' or '.join(name for _, name in may_be)}." if may_be else ""
        yield ["names no animal" if told.is_read else "not readable", told.text, "", "", f"{told.reason}{near}"]
