"""What deciding a line needs to know beside its rows: the record, the answers, the rest of the day."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from herd.intake.deciding.doubts import Answers, Doubt
from herd.intake.deciding.wishes import Wish
from herd.intake.matching.numbers import Row
from herd.intake.matching.view import Card, View
from herd.values.mass import WeightUnit
from herd.values.withdrawal import Withdrawal


@dataclass(frozen=True, slots=True)
class PastEvent:
    """An event of the record; `hold` is what a medicine holds the animal for."""

    id: UUID
    kind: str
    day: date | None
    data: dict[str, Any]
    ng: int | None
    hold: Withdrawal | None = None


@dataclass(frozen=True, slots=True)
class PastStay:
    """A stay of the record in a group."""

    group: str
    joined: date
    left: date | None

    def overlaps(self, joined: date, left: date) -> bool:
        """Whether days lie in both."""
        return self.joined < left and (self.left is None or joined < self.left)


@dataclass(slots=True)
class Context:
    """The day as the lines see it. `past` is what the record knows of each animal, oldest first.

    `newcomers` are the lines of new animals by their numbers, `newcomer_facts` the class and birth they say.
    `called`, `standing`, `stays` and `location_names` serve rows from a record kept elsewhere (carried.py).
    """

    day: date
    today: date
    unit: WeightUnit
    view: View
    answers: Answers
    past: dict[UUID, list[PastEvent]] = field(default_factory=lambda: defaultdict(list))
    tubes: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    tubes_taken: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    newcomers: dict[tuple[str, str], set[str]] = field(default_factory=lambda: defaultdict(set))
    newcomer_facts: dict[str, tuple[str, date | None]] = field(default_factory=dict)
    usual_ng: dict[UUID, int] = field(default_factory=dict)
    usual_day: dict[UUID, date] = field(default_factory=dict)
    group_names: dict[UUID, str] = field(default_factory=dict)
    called: dict[str, str] = field(default_factory=dict)
    standing: set[UUID] = field(default_factory=set)
    stays: dict[UUID, list[PastStay]] = field(default_factory=dict)
    location_names: dict[UUID, str] = field(default_factory=dict)


@dataclass(slots=True)
class Line:
    """All rows of a day about one animal, and what deciding made of them."""

    key: str
    animal_id: UUID | None
    card: Card | None
    rows: list[Row] = field(default_factory=list)
    is_open: bool = False
    proposals: list[dict[str, Any]] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    held: set[UUID] = field(default_factory=set)

    @property
    def is_new(self) -> bool:
        """Whether the line brings a new animal in."""
        return self.key.startswith("new:")

    @property
    def name(self) -> str:
        """What people call the animal."""
        if self.card:
            return self.card.name
        if self.key.startswith("place:"):
            return str(self.rows[0].readings["place"]["facts"]["name"])
        numbers = self.rows[0].numbers
        return " ".join(part for part in (numbers.vid, numbers.colour) if part) or numbers.key

    @property
    def title(self) -> str:
        """Class and name."""
        return self.card.title if self.card else f"{'new' if self.is_new else 'unknown'} animal {self.name}"

    def propose(self, wish: Wish, rows: list[Row], **what: Any) -> None:
        """Add what will be written."""
        self.proposals.append({**what, "says": wish.says, "rows": [str(row.id) for row in rows]})

    def ask(self, doubt: Doubt) -> None:
        """Raise a doubt; the rows it is about wait with all they say until it is ruled."""
        doubt.line_key = self.key
        doubt.animal_id = doubt.animal_id or self.animal_id
        self.doubts.append(doubt)
