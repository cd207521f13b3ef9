"""The table of an event recorded for many: what is asked of each animal on its own, such as its weight."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.events_reading import Reading, days_fault, read_field
from herd.registry.queries.weighings import weighed_before
from herd.values.eventkinds import EventField, EventKind, FieldKind
from herd.values.weighing import Before, doubts_of

# What each animal has of its own, the field that matters first; kinds that are not here are the same for all.
COLUMNS = {
    "weight": ("weight",),
    "pregnancy_check": ("result", "days"),
    "body_condition": ("score",),
    "sample": ("tube",),
    "hip_height": ("height",),
    "scrotal": ("circumference",),
}
# What may be given once for all whose own is left empty.
FOR_ALL = {"pregnancy_check": "result", "body_condition": "score"}
MOST_ROWS = 600


@dataclass(slots=True)
class Box:
    """One box of the table."""

    field: EventField
    name: str
    value: str
    error: str = ""

    @property
    def choices(self) -> tuple[str, ...]:
        """The words to choose from, where it is a choice."""
        return self.field.choices

    @property
    def mode(self) -> str:
        """The keys that a phone should show."""
        if self.field.kind is FieldKind.DAYS:
            return "numeric"
        has_decimals = self.field.kind in {FieldKind.WEIGHT, FieldKind.SCORE, FieldKind.LENGTH}
        return "decimal" if has_decimals else "text"


@dataclass(slots=True)
class Row:
    """One animal of the table: its boxes, what they came to, and a doubt with the tick that settles it."""

    animal_id: UUID
    name: str
    boxes: list[Box]
    reading: Reading = field(default_factory=Reading)
    doubt: str = ""
    tick: str = ""
    figure: str = ""
    is_right: bool = False

    @property
    def is_empty(self) -> bool:
        """Whether nothing was given for the animal."""
        return not any(box.value for box in self.boxes)

    @property
    def is_wrong(self) -> bool:
        """Whether something has to be put right before it goes on."""
        return any(box.error for box in self.boxes) or bool(self.doubt and not self.is_right)


def columns_of(kind: EventKind) -> list[EventField]:
    """What is asked of each animal on its own."""
    by_key = {one.key: one for one in kind.fields}
    return [by_key[key] for key in COLUMNS.get(kind.key, ())]


def rows_of(
    kind: EventKind, ids: Iterable[UUID], names: Mapping[str, str], posted: Mapping[str, Any]
) -> list[Row]:
    """The table with what was typed so far."""
    columns = columns_of(kind)
    return [Row(one, names[str(one)], _boxes(columns, one, posted), tick=f"right-{one}") for one in ids]


def _boxes(columns: Iterable[EventField], animal_id: UUID, posted: Mapping[str, Any]) -> list[Box]:
    boxes = ((column, f"{column.key}-{animal_id}") for column in columns)
    return [Box(column, name, str(posted.get(name, "")).strip()) for column, name in boxes]


def read_rows(outfit: Outfit, rows: Sequence[Row], unit: str, shared: Mapping[str, Any]) -> None:
    """Read every box; what can't be read has its reason beside it. `shared` was given once for all."""
    for row in rows:
        for box in row.boxes:
            try:
                reading = read_field(outfit, box.field, _value(box), unit)
            except forms.ValidationError as problem:
                box.error = " ".join(problem.messages)
                continue
            row.reading = Reading(row.reading.data | reading.data, reading.weight_ng or row.reading.weight_ng)
        said = {**shared, **row.reading.data}
        row.boxes[-1].error = row.boxes[-1].error or days_fault(said.get("result"), said.get("days"))


def _value(box: Box) -> Any:
    """A box's text as `read_field` takes it; raises forms.ValidationError."""
    if not box.value:
        return None
    if box.field.kind is FieldKind.DAYS:
        return forms.IntegerField(min_value=0, max_value=1_000).clean(box.value)
    if box.choices and box.value not in box.choices:
        raise forms.ValidationError(f"Choose one of {', '.join(box.choices)}.")
    return box.value


def doubt_rows(outfit: Outfit, rows: Sequence[Row], day: date, purpose: str, ticks: Mapping[str, Any]) -> None:
    """Ask about weights that can hardly be; a tick counts for the figure it was shown with."""
    weighed = [row for row in rows if row.reading.weight_ng]
    before = weighed_before(outfit, [row.animal_id for row in weighed], day)
    for row in weighed:
        nanograms = row.reading.weight_ng or 0
        known = before.get(row.animal_id, Before())
        doubts = doubts_of(nanograms, day, known, outfit.unit, is_birth=purpose == "birth")
        row.doubt, row.figure = " ".join(doubts), str(nanograms)
        row.is_right = ticks.get(row.tick) == row.figure


