"""One finding as the review page shows it: the animals as recorded, what each file says, the choices."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Subquery

from herd.accounts.models import Outfit
from herd.intake.models import Finding, ProcessingDay, StagedRow
from herd.registry.models import Animal, Event
from herd.registry.queries.tags import Worn, worn_by

LINES_SHOWN = 40
ANIMALS_SHOWN = 6
TYPED = "type"

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A line of a field file: where it is and its cells as written, each with its column's name."""

    row_id: UUID
    file_id: UUID
    file_name: str
    line: int
    number: int
    cells: list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class SideShown:
    """What one side says; `more` counts its lines beyond those shown."""

    says: str
    value: str
    lines: list[SourceLine]
    more: int = 0


@dataclass(frozen=True, slots=True)
class ChoiceShown:
    """A choice with its number on the keyboard (none above 9) and what it would do."""

    number: int | None
    key: str
    label: str
    effect: str
    is_typed: bool
    is_suggested: bool


@dataclass(frozen=True, slots=True)
class AnimalShown:
    """An animal as recorded; `last_weight_ng` is in nanograms."""

    animal: Animal
    worn: Worn
    last_weight_ng: int | None
    last_weighed_on: Any


@dataclass(frozen=True, slots=True)
class FindingCard:
    """A finding with everything a person needs to decide it."""

    finding: Finding
    animals: list[AnimalShown]
    sides: list[SideShown]
    choices: list[ChoiceShown]
    alike_count: int
    lines: list[SourceLine] = field(default_factory=list)
    more_lines: int = 0

    @property
    def can_be_kept(self) -> bool:
        """Whether a choice can stand for the future: one that names no animal, side or value."""
        return any(choice.key != TYPED and ":" not in choice.key for choice in self.choices)


def card_of(outfit: Outfit, day: ProcessingDay, finding: Finding) -> FindingCard:
    """Gather one finding's card in at most four queries."""
    lines = lines_of(day, [*finding.rows, *(row for side in finding.sides for row in side.get("rows") or [])])
    sides = [_side(side, lines) for side in finding.sides]
    in_sides = {str(row) for side in finding.sides for row in side.get("rows") or []}
    loose = [str(row) for row in finding.rows if str(row) not in in_sides]
    loose_lines = [lines[row] for row in loose if row in lines]
    return FindingCard(
        finding,
        animals_of(outfit, _animal_ids(finding)),
        sides,
        choices_of(finding),
        Finding.objects.filter(day=day, is_open=True, alike=finding.alike).count(),
        loose_lines,
        max(0, len(loose) - len(loose_lines)),
    )


def choices_of(finding: Finding) -> list[ChoiceShown]:
    """The finding's choices in order, numbered from 1."""
    return [
        ChoiceShown(
            number=place if place <= 9 else None,
            key=str(choice["choice"]),
            label=str(choice.get("label", "")),
            effect=str(choice.get("effect", "")),
            is_typed=choice["choice"] == TYPED,
            is_suggested=finding.is_suggested and place == 1,
        )
        for place, choice in enumerate(finding.choices, start=1)
    ]


def fitting(finding: Finding, choice: str) -> dict[str, str]:
    """The finding's choice that an answer to another comes to: the same, else the first of its sort."""
    verb = choice.partition(":")[0]
    same = [one for one in finding.choices if one["choice"] == choice]
    alike = [one for one in finding.choices if one["choice"].partition(":")[0] == verb]
    return next(iter([*same, *alike]), {"choice": "", "label": "", "effect": ""})


def lines_of(day: ProcessingDay, row_ids: Iterable[Any]) -> dict[str, SourceLine]:
    """The first LINES_SHOWN of the named lines by row id, in one query that leaves the files' bytes alone."""
    ids = list(dict.fromkeys(str(one) for one in row_ids))[:LINES_SHOWN]
    if not ids:
        return {}
    rows = StagedRow.objects.filter(day=day, pk__in=ids).select_related("file")
    rows = rows.only("line", "number", "cells", "file__name", "file__header", "file__columns")
    return {str(row.pk): _line(row) for row in rows.order_by("file__position", "number")}


def _line(row: StagedRow) -> SourceLine:
    header = row.file.header
    names = [header[place] if place < len(header) else "" for place in range(len(row.cells))]
    named = [name or f"column {place}" for place, name in enumerate(names, start=1)]
    cells = list(zip(named, row.cells, strict=True))
    return SourceLine(row.pk, row.file_id, row.file.name, row.line, row.number, cells)


def _side(side: dict[str, Any], lines: dict[str, SourceLine]) -> SideShown:
    rows = [str(row) for row in side.get("rows") or []]
    found = [lines[row] for row in rows if row in lines]
    says = str(side.get("says", ""))
    return SideShown(says, _value_beside(says, side.get("value")), found, len(rows) - len(found))


def _value_beside(says: str, value: Any) -> str:
    """The value where the words do not tell it already; a bare figure is for comparing and tells nothing."""
    text = "" if value is None else str(value)
    is_told = all(word in says for word in text.split())
    return "" if is_told or text.isdigit() else text


def _animal_ids(finding: Finding) -> list[UUID]:
    """The animal the finding is about, then those its choices name."""
    named = [UUID(found) for choice in finding.choices for found in _UUID.findall(str(choice["choice"]))]
    first = [finding.animal_id] if finding.animal_id else []
    return list(dict.fromkeys([*first, *named]))[:ANIMALS_SHOWN]


def animals_of(outfit: Outfit, ids: list[UUID]) -> list[AnimalShown]:
    """The animals as recorded, with their tags and last weight, in two queries."""
    if not ids:
        return []
    weighings = Event.objects.of(outfit).filter(animal=OuterRef("pk"), kind="weight").exclude(weight_ng=None)
    last = weighings.order_by("-happened_on", "-id")
    animals = Animal.objects.of(outfit).filter(pk__in=ids).select_related("group")
    animals = animals.annotate(
        last_ng=Subquery(last.values("weight_ng")[:1]), last_on=Subquery(last.values("happened_on")[:1])
    )
    found = {animal.pk: animal for animal in animals}
    worn = worn_by(outfit, list(found))
    return [AnimalShown(found[one], worn[one], found[one].last_ng, found[one].last_on) for one in ids if one in found]
