"""A changeset as it travels between installations: as plain JSON, and back, with nothing in it trusted."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from herd.ledger.models import Action, Change, Changeset, ChangesetKind
from herd.registry.models import SUBJECTS
from herd.registry.services.replaying.carried import COPIED
from herd.sync.reading import Unfit, read_id, read_moment

IDS = frozenset({"subject_id", "animal_id", "source_row", "undoes"})
LONGEST_REASON = 200


@dataclass(frozen=True, slots=True)
class Head:
    """What a changeset says of itself."""

    kind: ChangesetKind
    title: str
    person_name: str
    recorded_at: datetime
    day_id: UUID | None
    undoes: UUID | None
    is_performed: bool
    is_undone: bool
    person: UUID | None


def head_as_json(one: Changeset) -> dict[str, Any]:
    """What a changeset says of itself, to be sent."""
    return {
        "kind": one.kind,
        "title": one.title,
        "person": _text(one.person_id),
        "person_name": one.person_name,
        "recorded_at": one.recorded_at.isoformat(),
        "day_id": _text(one.day_id),
        "undoes": _text(one.undoes_id),
        "is_performed": one.is_performed,
        "is_undone": one.is_undone,
    }


def change_as_json(one: Change) -> dict[str, Any]:
    """A change to be sent; empty members are left out."""
    said = {name: getattr(one, name) for name in COPIED}
    plain = {name: _text(value) if name in IDS else value for name, value in said.items()}
    return {"id": str(one.pk), **{name: value for name, value in plain.items() if value not in (None, "")}}


def _text(value: UUID | None) -> str | None:
    return str(value) if value else None


def read_head(said: Any) -> Head:
    """Read what a changeset says of itself; raises Unfit."""
    given = _object(said, "/data")
    if given.get("kind") not in ChangesetKind.values:
        raise Unfit("/data/kind", "There is no such kind of changeset.")
    return Head(
        ChangesetKind(given["kind"]),
        str(given.get("title") or "")[:200],
        str(given.get("person_name") or "")[:150],
        read_moment(given.get("recorded_at"), "/data/recorded_at"),
        _id(given, "day_id", "/data"),
        _id(given, "undoes", "/data"),
        bool(given.get("is_performed")),
        bool(given.get("is_undone")),
        _id(given, "person", "/data"),
    )


def read_changes(given: Any) -> list[Change]:
    """Read changes; raises Unfit, which names the first that can't be read."""
    if not isinstance(given, list):
        raise Unfit("/data/changes", "The changes of a changeset are a list.")
    return [read_change(one, f"/data/changes/{place}") for place, one in enumerate(given)]


def read_change(said: Any, pointer: str) -> Change:
    """Read one change; raises Unfit."""
    given = _object(said, pointer)
    if given.get("subject_kind") not in SUBJECTS:
        raise Unfit(f"{pointer}/subject_kind", "There is no such kind of row.")
    if given.get("action") not in Action.values:
        raise Unfit(f"{pointer}/action", "A change creates, changes, voids or revives.")
    for side in ("before", "after"):
        if given.get(side) is not None:
            _object(given[side], f"{pointer}/{side}")
    line = given.get("source_line")
    return Change(
        id=read_id(given.get("id"), f"{pointer}/id"),
        subject_kind=given["subject_kind"],
        subject_id=read_id(given.get("subject_id"), f"{pointer}/subject_id"),
        animal_id=_id(given, "animal_id", pointer),
        action=given["action"],
        before=given.get("before"),
        after=given.get("after"),
        reason=str(given.get("reason") or "")[:LONGEST_REASON],
        source_row=_id(given, "source_row", pointer),
        source_file=str(given.get("source_file") or "")[:200],
        source_line=line if isinstance(line, int) and not isinstance(line, bool) and 0 <= line < 2**31 else None,
        undoes=_id(given, "undoes", pointer),
    )


def read_names(given: Any) -> dict[UUID, Mapping[str, Any]]:
    """What rows are called in the field, by their ids; raises Unfit."""
    named = _object(given, "/data/names")
    return {read_id(key, "/data/names"): _object(value, "/data/names") for key, value in named.items()}


def lines_of(changes: Iterable[Change]) -> list[dict[str, Any]]:
    """Changes to be sent."""
    return [change_as_json(one) for one in changes]


def _object(value: Any, pointer: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise Unfit(pointer, "That is an object.")
    return value


def _id(given: Mapping[str, Any], name: str, pointer: str) -> UUID | None:
    return read_id(given[name], f"{pointer}/{name}") if given.get(name) else None
