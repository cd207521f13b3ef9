"""A finding in the making: the question, its sides, its choices; and the answers given so far."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from herd.intake.matching.numbers import Numbers, Row
from herd.intake.models import FindingKind


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer that can be given, with what it would do."""

    choice: str
    label: str
    effect: str = ""

    def as_dict(self) -> dict[str, str]:
        """The choice as it is stored."""
        return {"choice": self.choice, "label": self.label, "effect": self.effect}


KEY_WIDTH = 160
LINE_KEY_WIDTH = 80

SET_ASIDE = Choice(
    "set_aside", "Set the line aside", "Nothing is written; the line stays in the day's report."
)
LEAVE_OUT = Choice("leave_out", "Leave this value out", "The rest of the line is written.")
TYPE = Choice("type", "Type what it should be", "The typed value is written in its place.")


@dataclass(frozen=True, slots=True)
class Side:
    """One thing that is said, and the rows that say it."""

    says: str
    value: str = ""
    rows: tuple[Row, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """The side as it is stored."""
        return {"says": self.says, "value": self.value, "rows": [str(row.id) for row in self.rows]}


@dataclass(slots=True)
class Doubt:
    """What a person must decide. `key` is the same each time the day is decided."""

    key: str
    kind: FindingKind
    title: str
    rows: Sequence[Row]
    choices: Sequence[Choice]
    field: str = ""
    alike: str = ""
    animal_id: UUID | None = None
    sides: Sequence[Side] = ()
    reasons: Sequence[str] = ()
    is_suggested: bool = False
    line_key: str = ""

    def __post_init__(self) -> None:
        # The key is a column of bounded width; cut here, so that rulings are found by the same text.
        self.key = bounded(self.key, KEY_WIDTH)

    @property
    def likeness(self) -> str:
        """What findings have in common that can be ruled together."""
        return self.alike or f"{self.kind}:{self.field}".rstrip(":")


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person answered to a finding."""

    choice: str
    typed: str = ""
    rows: tuple[str, ...] = ()

    @property
    def verb(self) -> str:
        """The choice without what it is about."""
        return self.choice.partition(":")[0]

    @property
    def about(self) -> str:
        """What the choice is about: an animal's id, or the number of a side."""
        return self.choice.partition(":")[2]


@dataclass(slots=True)
class Answers:
    """All answers of a day, and the standing rules of the outfit; remembers which rules were used."""

    given: dict[str, Answer] = field(default_factory=dict)
    standing: dict[str, str] = field(default_factory=dict)
    by_rule: dict[str, tuple["Doubt", Choice]] = field(default_factory=dict)
    moved: dict[str, UUID] | None = None

    def to(self, doubt: Doubt) -> Answer | None:
        """The answer to this doubt, by ruling or by standing rule; None while it is open."""
        answer = self.given.get(doubt.key)
        if answer is not None:
            return answer
        verb = self.standing.get(doubt.likeness)
        choice = next((one for one in doubt.choices if one.choice.partition(":")[0] == verb), None)
        if choice is None:
            return None
        self.by_rule[doubt.key] = (doubt, choice)
        return Answer(choice.choice)

    def animals_named(self) -> set[UUID]:
        """The animals that a person said lines are about."""
        verbs = {"is", "retag", "back"}
        named = (one for key, one in self.given.items() if key.startswith("who:"))
        return {UUID(one.about) for one in named if one.verb in verbs}

    def moved_rows(self) -> dict[str, UUID]:
        """Rows that a person gave to another animal than their number says."""
        moved = self.moved
        if moved is not None:
            return moved
        moved = self.moved = {}
        for answer in self.given.values():
            if answer.verb == "other":
                animal = UUID(answer.about.partition(":")[2])
                moved.update(dict.fromkeys(answer.rows, animal))
        return moved


def cell_key(row_id: UUID, column: str) -> str:
    """The key of a finding about one cell."""
    return bounded(f"cell:{row_id}:{column}", KEY_WIDTH)


def order_key(file_id: UUID, column: str) -> str:
    """The key of a finding about the order of day and month in a column."""
    return bounded(f"order:{file_id}:{column}", KEY_WIDTH)


def who_key(numbers: Numbers) -> str:
    """The key of a finding about whose numbers these are."""
    return bounded(f"who:{numbers.key}", KEY_WIDTH)


def line_key(prefix: str, numbers: Numbers) -> str:
    """The key of a line whose animal has no id yet."""
    return bounded(f"{prefix}{numbers.key}", LINE_KEY_WIDTH)


def bounded(text: str, width: int) -> str:
    """The text itself, or where it is too wide its beginning with a digest that tells it from others."""
    if len(text) <= width:
        return text
    return text[: width - 24] + hashlib.sha256(text.encode()).hexdigest()[:24]


def places(rows: Iterable[Row]) -> str:
    """Where rows stand, for a person: at most three, then a count."""
    listed = list(rows)
    named = "; ".join(row.place for row in listed[:3])
    return named if len(listed) <= 3 else f"{named} and {len(listed) - 3} more"
