"""Takes back a changeset, whole or for one animal; what later work has built on is told and refused."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils import timezone

from herd.ledger.entry import Entry, Source
from herd.ledger.models import Action, Change, Changeset
from herd.ledger.record import Pen, changeset
from herd.registry.models import (
    Animal,
    Breed,
    Event,
    Group,
    GroupMembership,
    Location,
    MissingTag,
    Product,
    Record,
    Tag,
    TagBox,
    TagWearing,
)
from herd.registry.services.standing import correct_standing
from herd.registry.services.work import chunks, save_all, subject_of

SUBJECTS: dict[str, type[Record]] = {
    model.SUBJECT: model
    for model in (
        Animal, Breed, Event, Group, GroupMembership, Location, MissingTag, Product, Tag, TagBox, TagWearing,
    )
}


@dataclass(frozen=True, slots=True)
class UndoVerdict:
    """Whether a changeset can be taken back, how many changes that is, and what stands in the way."""

    is_possible: bool
    count: int
    reasons: tuple[str, ...] = ()


def judge(target: Changeset, animal_id: UUID | None = None) -> UndoVerdict:
    """Say whether the changeset, or one animal's part of it, can be taken back. Writes nothing."""
    changes = _standing_changes(target, animal_id)
    if not changes:
        return UndoVerdict(is_possible=False, count=0, reasons=("There is nothing left to take back.",))
    reasons = _later_work(target, changes)
    return UndoVerdict(is_possible=not reasons, count=len(changes), reasons=tuple(reasons))


def undo(entry: Entry, target: Changeset, animal_id: UUID | None = None) -> UndoVerdict:
    """Take back a changeset in one of its own, or one animal's part; refused where later work builds on it."""
    with changeset(entry) as pen:
        verdict = judge(target, animal_id)
        if not verdict.is_possible:
            return verdict
        changes = _standing_changes(target, animal_id)
        animals = _reverse(pen, changes)
        correct_standing(entry.outfit, animals)
        if not _standing_changes(target, None, besides={change.pk for change in changes}):
            Changeset.objects.filter(pk=target.pk).update(is_undone=True)
        if target.undoes_id:
            Changeset.objects.filter(pk=target.undoes_id).update(is_undone=False)
    return verdict


def _standing_changes(
    target: Changeset, animal_id: UUID | None, besides: set[UUID] | None = None
) -> list[Change]:
    """The changes of a changeset that are not taken back yet, newest first."""
    changes = list(target.changes.order_by("-position"))
    undone: set[UUID] = set(besides or ())
    for ids in chunks(change.pk for change in changes):
        undone.update(one for one in Change.objects.filter(undoes__in=ids).values_list("undoes", flat=True) if one)
    if animal_id is not None:
        changes = [change for change in changes if change.animal_id == animal_id]
    return [change for change in changes if change.pk not in undone]


def _later_work(target: Changeset, changes: Sequence[Change]) -> list[str]:
    """Name the later changesets that touched what would be taken back.

    A later change counts where it is on the same row, or hangs on an animal or a group that this changeset
    brought into the record; changes that are themselves taken back, or take something back, do not.
    """
    rows = {change.subject_id for change in changes}
    last = {change.subject_id: change.position for change in changes}
    made = {
        change.subject_id
        for change in changes
        if change.action == Action.CREATED and change.subject_kind == Animal.SUBJECT
    }
    later: dict[UUID, int] = defaultdict(int)
    for ids in chunks(rows):
        found = Change.objects.filter(outfit=target.outfit, subject_id__in=ids).exclude(changeset=target)
        for change in _not_undone(found):
            if change.position > last[change.subject_id]:
                later[change.changeset_id] += 1
    for ids in chunks(made):
        found = Change.objects.filter(outfit=target.outfit, animal_id__in=ids).exclude(changeset=target)
        for change in _not_undone(found):
            if change.subject_id not in rows:
                later[change.changeset_id] += 1
    named = Changeset.objects.in_bulk(list(later))
    reasons = [f"“{named[key].title}” has built on it ({count} changes); take that back first." for key, count in later.items()]
    return reasons + _members_of_made_groups(target, changes)


def _not_undone(changes: Any) -> list[Change]:
    found = [change for change in changes if change.undoes is None]
    undone: set[UUID | None] = set()
    for ids in chunks(change.pk for change in found):
        undone.update(Change.objects.filter(undoes__in=ids).values_list("undoes", flat=True))
    return [change for change in found if change.pk not in undone]


def _members_of_made_groups(target: Changeset, changes: Sequence[Change]) -> list[str]:
    made = [change.subject_id for change in changes if change.subject_kind == Group.SUBJECT and change.action == Action.CREATED]
    if not made:
        return []
    mine = {change.subject_id for change in changes}
    stays = GroupMembership.objects.of(target.outfit).filter(group__in=made).select_related("group")
    others = {stay.group.name for stay in stays if stay.pk not in mine}
    return [f"Animals have joined {name} since; move them first." for name in sorted(others)]


def _reverse(pen: Pen, changes: Sequence[Change]) -> set[UUID]:
    """Write the opposite of each change and return the animals touched."""
    animals: set[UUID] = set()
    by_kind: dict[str, list[Change]] = defaultdict(list)
    for change in changes:
        by_kind[change.subject_kind].append(change)
        if change.animal_id:
            animals.add(change.animal_id)
    # Wearings and memberships that were opened must close before the ones they replaced open again.
    for kind in sorted(by_kind):
        model = SUBJECTS[kind]
        rows: dict[UUID, Record] = {}
        for ids in chunks({change.subject_id for change in by_kind[kind]}):
            rows.update(model.objects.in_bulk(ids))
        made = [change for change in by_kind[kind] if change.action == Action.CREATED]
        other = [change for change in by_kind[kind] if change.action != Action.CREATED]
        for some in (made, other):
            columns: set[str] = set()
            for change in some:
                columns.update(_reverse_one(pen, rows[change.subject_id], change))
            save_all([rows[key] for key in {change.subject_id for change in some}], columns)
    return animals


def _reverse_one(pen: Pen, row: Record, change: Change) -> set[str]:
    """Set a row back to what it was before the change; return the columns set."""
    source = Source(change.source_file, change.source_line, change.source_row)
    if change.action == Action.CREATED:
        back, action = {"is_void": True}, Action.VOIDED
    else:
        back = change.before or {}
        action = Action.REVIVED if change.action == Action.VOIDED else Action.CHANGED
    now = {name: (change.after or {}).get(name) for name in back}
    for name, value in back.items():
        setattr(row, name, _column_value(row, name, value))
    row.revision += 1
    pen.write(
        subject_of(row), action, before=now, after=back, source=source,
        reason=f"undone {timezone.now():%Y-%m-%d}", undoes=change.pk,
    )
    return set(back)


def _column_value(row: Record, name: str, value: Any) -> Any:
    column = next(one for one in row._meta.concrete_fields if name in (one.attname, one.name))
    target = column.target_field if column.is_relation else column
    return None if value is None else target.to_python(value)
