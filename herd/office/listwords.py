"""Changes to rows of lists in words: products, breeds, locations, groups, boxes, kept lists."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from herd.ledger.models import Action, Change
from herd.office.saying import say_day

KIND_WORDS = {
    "tag": "tag number",
    "tag_box": "box of tags",
    "missing_tag": "missing tag",
    "herd_list": "kept herd list",
    "policy_value": "own value:",
}
COLUMN_WORDS = {
    "meat_withdrawal_days": "withdrawal days for meat",
    "is_vaccine": "vaccine",
    "needs_prescription": "needs a prescription",
    "is_retired": "retired",
    "is_closed": "closed",
    "premises_number": "premises number",
    "location_id": "location",
    "received_on": "received on",
    "issuer_year": "year",
    "question": "what it asks",
    "text": "value",
    "in_force_from": "in force from",
    "is_published": "published value again",
}
VERBS = {Action.CREATED: "new", Action.REVIVED: "brought back"}


def say_row(change: Change, rows: Mapping[UUID, Any]) -> str:
    """A change to a row that is about no single animal: what it is called, and what became of it."""
    row = rows.get(change.subject_id)
    before, after = change.before or {}, change.after or {}
    kind = KIND_WORDS.get(change.subject_kind, change.subject_kind.replace("_", " "))
    called = f"{kind.capitalize()} {_called(row, {**before, **after})}".strip()
    if change.action == Action.CHANGED and after:
        return f"{called}: {'set back, ' if change.undoes else ''}{_columns(row, before, after, rows)}."
    if change.action == Action.VOIDED:
        return f"{called}: {'taken back' if change.undoes else 'taken out'}."
    return f"{called}: {VERBS.get(Action(change.action), 'changed')}."


def _called(row: Any, facts: Mapping[str, Any]) -> str:
    if row is not None:
        return str(row)
    return " ".join(str(facts[name]) for name in ("name", "number", "first", "colour") if facts.get(name))


def _columns(row: Any, before: Mapping[str, Any], after: Mapping[str, Any], rows: Mapping[UUID, Any]) -> str:
    return "; ".join(
        f"{COLUMN_WORDS.get(name, name.replace('_', ' '))} from {_value(before.get(name), rows)}"
        f" to {_value(value, rows)}"
        for name, value in sorted(after.items(), key=lambda one: _place(row, one[0]))
    )


def _place(row: Any, name: str) -> tuple[int, str]:
    """Columns in the order of their table, since databases keep the keys of a change in orders of their own."""
    names = [column.attname for column in row._meta.concrete_fields] if row is not None else []
    return (names.index(name) if name in names else len(names), name)


def _value(value: Any, rows: Mapping[UUID, Any]) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value in (None, ""):
        return "nothing"
    try:
        return str(rows[UUID(str(value))])
    except (KeyError, ValueError):
        return _plain(str(value))


def _plain(text: str) -> str:
    try:
        return say_day(date.fromisoformat(text)) if len(text) == 10 else text
    except ValueError:
        return text
