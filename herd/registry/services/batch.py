"""What is to be written, in plain words: a batch of new rows, edits, tags on and off, events, moves.

One animal's service and a processing day's apply fill the same batch, so there is one way to write.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from herd.ledger.entry import TYPED, Source
from herd.values.identity import new_id

EDITABLE_FACTS = (
    "entry_class",
    "entered_on",
    "born_on",
    "born_precision",
    "breed",
    "coat",
    "origin",
    "dam_id",
    "sire_id",
)


@dataclass(frozen=True, slots=True)
class NewAnimal:
    """An animal that comes into the record; `facts` holds any of EDITABLE_FACTS."""

    facts: Mapping[str, Any]
    id: UUID = field(default_factory=new_id)
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class Edit:
    """New values for facts of one animal."""

    animal_id: UUID
    facts: Mapping[str, Any]
    reason: str = ""
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class PutOn:
    """A tag put on an animal. `second_reason` allows an EID beside one that stays on.

    `replaces` is the wearing whose place it takes; where a retag names none, the writer looks for it. `past` tells
    the rest of a wearing that is known whole, from a record kept elsewhere.
    """

    animal_id: UUID
    kind: str
    number: str
    colour: str = ""
    issuer_year: int = 0
    worn_from: date | None = None
    precision: str = "day"
    began: str = "tagged"
    second_reason: str = ""
    source: Source = TYPED
    replaces: UUID | None = None
    past: "WornBefore | None" = None
    id: UUID = field(default_factory=new_id)


@dataclass(frozen=True, slots=True)
class WornBefore:
    """The rest of a wearing known whole: its end where it has one, and whether it was a second EID."""

    worn_to: date | None = None
    ended: str = ""
    ended_reason: str = ""
    removed_at: str = ""
    is_second: bool = False


@dataclass(frozen=True, slots=True)
class TakeOff:
    """An open wearing that ends; `ended` is one of WearingEnded, `reason` and `removed_at` say more in words."""

    wearing_id: UUID
    worn_to: date
    ended: str
    source: Source = TYPED
    reason: str = ""
    removed_at: str = ""


@dataclass(frozen=True, slots=True)
class NewEvent:
    """An event; `data` holds the fields of its kind, a weight as its entered figure with `unit` beside it."""

    animal_id: UUID
    kind: str
    happened_on: date | None
    data: Mapping[str, Any] = field(default_factory=dict)
    happened_at: datetime | None = None
    precision: str = "day"
    weight_ng: int | None = None
    supersedes: UUID | None = None
    id: UUID = field(default_factory=new_id)
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class VoidEvent:
    """An event that did not happen."""

    event_id: UUID
    reason: str = ""
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class NewPlace:
    """A row of a list (location, group, product, tag box, herd list ...) that comes in; `facts` holds its columns."""

    subject: str
    facts: Mapping[str, Any]
    id: UUID = field(default_factory=new_id)
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class EditPlace:
    """New values for columns of a row of a list; `is_void` takes it out, where nothing stands on it."""

    subject: str
    id: UUID
    facts: Mapping[str, Any]
    reason: str = ""
    is_void: bool = False
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class Join:
    """An animal that joins a group on a day, and so leaves the one it was in."""

    animal_id: UUID
    group_id: UUID
    joined_on: date
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class Leave:
    """An animal that leaves its group and joins none."""

    animal_id: UUID
    left_on: date
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class Stayed:
    """A stay in a group known whole from a record kept elsewhere; one without `left_on` goes on."""

    animal_id: UUID
    group_id: UUID
    joined_on: date
    left_on: date | None = None
    id: UUID = field(default_factory=new_id)
    source: Source = TYPED


@dataclass(frozen=True, slots=True)
class Merged:
    """A record that turns out to be of the same animal as another: void from now on, and pointing at the one kept."""

    animal_id: UUID
    kept_id: UUID
    reason: str = ""


@dataclass(frozen=True, slots=True)
class SplitOff:
    """An animal that comes out of another's record: one merged into it is brought back, unless it is a new one."""

    animal_id: UUID
    kept_id: UUID
    reason: str = ""
    is_new: bool = False


@dataclass(frozen=True, slots=True)
class RowEdit:
    """New values for columns of a row about an animal, as where it moves from one animal to another.

    `subject` is wearing, membership or event; `is_void` takes the row out (True) or brings it back (False).
    """

    subject: str
    id: UUID
    facts: Mapping[str, Any]
    reason: str = ""
    is_void: bool | None = None
    source: Source = TYPED


@dataclass(slots=True)
class Batch:
    """All that one changeset writes."""

    places: list[NewPlace] = field(default_factory=list)
    place_edits: list[EditPlace] = field(default_factory=list)
    animals: list[NewAnimal] = field(default_factory=list)
    merged: list[Merged] = field(default_factory=list)
    split_off: list[SplitOff] = field(default_factory=list)
    edits: list[Edit] = field(default_factory=list)
    row_edits: list[RowEdit] = field(default_factory=list)
    take_off: list[TakeOff] = field(default_factory=list)
    put_on: list[PutOn] = field(default_factory=list)
    voids: list[VoidEvent] = field(default_factory=list)
    events: list[NewEvent] = field(default_factory=list)
    joins: list[Join] = field(default_factory=list)
    leaves: list[Leave] = field(default_factory=list)
    stays: list[Stayed] = field(default_factory=list)
