"""What travels: a changeset's changes, what its author knew, and what becomes of them here."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID, uuid5

from herd.ledger.models import Action, Change

COPIED = (
    "subject_kind",
    "subject_id",
    "animal_id",
    "action",
    "before",
    "after",
    "reason",
    "source_row",
    "source_file",
    "source_line",
    "undoes",
)


@dataclass(frozen=True, slots=True)
class Carried:
    """The changes of a changeset as they were written elsewhere.

    `names` tells of wearings, memberships and tags that the changes name what they are called in the field, since
    such a row may have another id here. `seen_to` is the feed position of this record up to which the author had
    seen it. `aliases` are ids from there that stand for rows which were here already.
    """

    changes: Sequence[Change]
    names: Mapping[UUID, Mapping[str, Any]] = field(default_factory=dict)
    seen_to: int = 0
    aliases: Mapping[UUID, UUID] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Clash:
    """A change, or some of its columns, that can't stand beside what is here."""

    change: Change
    reason: str
    columns: frozenset[str] = frozenset()


@dataclass(slots=True)
class Replayed:
    """What was written, what said the same as the record, and what clashed; `aliases` are those found anew."""

    written: list[Change] = field(default_factory=list)
    clashes: list[Clash] = field(default_factory=list)
    same: int = 0
    aliases: dict[UUID, UUID] = field(default_factory=dict)


def taken(change: Change, **differing: Any) -> Change:
    """A copy of a change to be written here: under its own id where nothing differs, else under one made from it."""
    said = {name: getattr(change, name) for name in COPIED}
    is_same = all(said[name] == value for name, value in differing.items())
    return Change(id=change.pk if is_same else uuid5(change.pk, "as taken"), **{**said, **differing})


def is_merge(changes: Sequence[Change]) -> bool:
    """Whether records were made one, or one made two."""
    sides = (side for one in changes for side in (one.before or {}, one.after or {}))
    return any("same_as_id" in side for side in sides)


def creates(change: Change) -> bool:
    """Whether a change brings its row into the record for the first time."""
    return bool(change.action == Action.CREATED)
