"""Judges each carried change against the row as it is here: written, said already, or against what others wrote."""

from typing import Any
from uuid import UUID

from herd.ledger.models import Action, Change
from herd.registry.models import SUBJECTS, Record
from herd.registry.services.replaying.aliases import NATURAL
from herd.registry.services.replaying.carried import Clash, Replayed, taken
from herd.registry.services.replaying.desk import Desk
from herd.registry.services.replaying.values import Unreadable, new_row, read_values, references, renamed
from herd.registry.services.work import plain
from herd.values.threeway import Merge, merge_field

# Fields that mean something only together are taken together or not at all.
PAIRS = ({"born_on", "born_precision"},)
GONE = "It is not in the record any more."
UNKNOWN = "It is not in the record under that id."
CHANGED_SINCE = "Others had changed it meanwhile."


def judge(desk: Desk, change: Change, found: Replayed) -> None:
    """Take one change in memory and note it in `found`, as written, as said already, or as a clash."""
    model = SUBJECTS[change.subject_kind]
    try:
        after = read_values(model, renamed(change.after or {}, desk.aliases))
        before = read_values(model, renamed(change.before or {}, desk.aliases))
    except Unreadable as problem:
        found.clashes.append(Clash(change, str(problem)))
        return
    missing = _missing(desk, model, after) or _corrected(desk, after)
    if missing:
        found.clashes.append(Clash(change, missing))
    elif change.action == Action.CREATED:
        _create(desk, change, after, found)
    else:
        _change(desk, change, before, after, found)


def _missing(desk: Desk, model: type[Record], after: dict[str, Any]) -> str:
    for column in references(model):
        key = after.get(column)
        if key is not None and not desk.is_there(column, key):
            return f"The {column.removesuffix('_id')} that it names is not in the record."
    return ""


def _corrected(desk: Desk, after: dict[str, Any]) -> str:
    """Why what an event takes the place of does not stand here any more, as the author saw it."""
    old = desk.known.get(after.get("supersedes_id") or desk.outfit.pk)
    return CHANGED_SINCE if old is not None and old.is_void else ""


def _create(desk: Desk, change: Change, values: dict[str, Any], found: Replayed) -> None:
    key = desk.own(change.subject_id)
    row = desk.rows.get(key)
    if row is None and key != change.subject_id:
        row = SUBJECTS[change.subject_kind].objects.get(pk=key)
    if row is not None:
        found.same += 1
        differs = _differing(row, values) if change.subject_kind in NATURAL else frozenset()
        if differs:
            reason = f"{row} was here already, and differs in {', '.join(sorted(differs))}."
            found.clashes.append(Clash(change, reason, differs))
        return
    row = new_row(change.subject_kind, key, desk.outfit.pk, values)
    desk.rows[key] = desk.new[key] = row
    found.written.append(_as_here(desk, change, row, change.before, renamed(change.after or {}, desk.aliases)))


def _differing(row: Record, values: dict[str, Any]) -> frozenset[str]:
    return frozenset(name for name, value in values.items() if getattr(row, name) != value)


def _change(desk: Desk, change: Change, before: dict[str, Any], after: dict[str, Any], found: Replayed) -> None:
    row = desk.rows.get(desk.own(change.subject_id))
    # An animal that was merged into another is not taken out of the record with the one that is kept.
    is_other = row is not None and row.pk != change.subject_id and row.SUBJECT == "animal" and "is_void" in after
    if row is None or is_other:
        found.clashes.append(Clash(change, UNKNOWN))
        return
    if row.is_void and "is_void" not in after:
        found.clashes.append(Clash(change, GONE))
        return
    states = {name: merge_field(before.get(name), value, getattr(row, name)) for name, value in after.items()}
    for pair in PAIRS:
        if any(states.get(name) is Merge.CONFLICT for name in pair):
            states.update({name: Merge.CONFLICT for name in pair & set(states)})
    against = frozenset(name for name, state in states.items() if state is Merge.CONFLICT)
    if against:
        is_whole = change.subject_kind in {"wearing", "membership", "event"} or "is_void" in after
        found.clashes.append(Clash(change, CHANGED_SINCE, frozenset() if is_whole else against))
        if is_whole:
            return
    _take(desk, change, row, {name: after[name] for name, state in states.items() if state is Merge.TAKE}, found)


def _take(desk: Desk, change: Change, row: Record, values: dict[str, Any], found: Replayed) -> None:
    marks_only = not change.after
    if not values and not marks_only and change.before != change.after:
        found.same += 1
        return
    said = {name: plain(getattr(row, name)) for name in values}
    for name, value in values.items():
        setattr(row, name, value)
    if values:
        row.revision += 1
        if row.pk not in desk.new:
            desk.changed[row.pk] = row
    if values.get("is_void"):
        desk.voided[row.pk] = change
    now = {name: plain(value) for name, value in values.items()}
    if change.before == change.after:
        said, now = dict(change.before or {}), dict(change.after or {})
    found.written.append(_as_here(desk, change, row, said, now))


def _as_here(desk: Desk, change: Change, row: Record, before: Any, after: Any) -> Change:
    undoes: UUID | None = change.undoes if change.undoes in desk.free_to_undo else None
    if undoes:
        desk.free_to_undo.discard(undoes)
    about = desk.own(change.animal_id) if change.animal_id else None
    return taken(change, subject_id=row.pk, animal_id=about, before=before, after=after, undoes=undoes)
