"""Takes back a changeset, whole or for one animal; what later work has built on is told and refused."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from django.db import IntegrityError
from django.db.models import QuerySet
from django.utils import timezone

from herd.ledger.entry import Entry
from herd.ledger.models import Action, Change, Changeset
from herd.ledger.record import Pen, changeset
from herd.ledger.rows import in_steps
from herd.registry.models import (
    SUBJECTS,
    Animal,
    Group,
    GroupMembership,
    HeadCheck,
    Location,
    MissingTag,
    Record,
    Tag,
    TagBox,
    TagWearing,
)
from herd.registry.queries.changes import facts_of, last_words
from herd.registry.services.standing import correct_standing
from herd.registry.services.undone import mark_undone, standing_changes
from herd.registry.services.work import column_value, save_all


@dataclass(frozen=True, slots=True)
class Leaning:
    """Rows of one table that point at rows of another, and the sentence for a person when those would go."""

    model: type[Record]
    column: str
    upon: type[Record]
    says: str


LEANINGS = (
    Leaning(GroupMembership, "group", Group, "Animals have joined a group that it opened; move them first."),
    Leaning(HeadCheck, "group", Group, "A group that it opened was counted; take the count back first."),
    Leaning(Group, "location", Location, "A group lies at a location that it opened; take that back first."),
    Leaning(TagWearing, "tag", Tag, "A tag that it brought in is on another animal; take that back first."),
    Leaning(Animal, "dam", Animal, "A later calf has a dam that it brought in; correct that first."),
    Leaning(Animal, "sire", Animal, "A later calf has a sire that it brought in; correct that first."),
    Leaning(MissingTag, "box", TagBox, "Numbers of a box that it took in are marked missing."),
)

# What brings a row into the record, for the first time or again; its reversal takes the row out.
BRINGING = frozenset({Action.CREATED, Action.REVIVED})

WHOLE_ONLY = "Two records were made one here, or one made two: that is taken back whole, not one animal’s part alone."


@dataclass(frozen=True, slots=True)
class UndoVerdict:
    """Whether a changeset can be taken back, how many changes that is, and what stands in the way."""

    is_possible: bool
    count: int
    reasons: tuple[str, ...] = ()


def judge(target: Changeset, animal_id: UUID | None = None, *, after: Sequence[Changeset] = ()) -> UndoVerdict:
    """Say whether the changeset, or one animal's part of it, can be taken back. Writes nothing.

    `after` are later changesets that are taken back before it, and so stand in nobody's way.
    """
    changes = standing_changes(target, animal_id)
    if not changes:
        return UndoVerdict(is_possible=False, count=0, reasons=("There is nothing left to take back.",))
    if animal_id is not None and _joined(target.changes.filter(subject_kind=Animal.SUBJECT)):
        return UndoVerdict(is_possible=False, count=len(changes), reasons=(WHOLE_ONLY,))
    reasons = _later_work(target, changes, after) or _leaning(target, changes, after)
    return UndoVerdict(is_possible=not reasons, count=len(changes), reasons=tuple(reasons))


def undo(entry: Entry, target: Changeset, animal_id: UUID | None = None) -> UndoVerdict:
    """Take back a changeset in one of its own, or one animal's part; refused where later work builds on it.

    Undoing an undo brings the changeset back. A changeset of another outfit is refused.
    """
    if target.outfit_id != entry.outfit.pk:
        reasons = ("That changeset is not in this outfit's record.",)
        return UndoVerdict(is_possible=False, count=0, reasons=reasons)
    try:
        with changeset(replace(entry, undoes=target)) as pen:
            verdict = judge(target, animal_id)
            if not verdict.is_possible:
                return verdict
            animals = _reverse(pen, standing_changes(target, animal_id))
            correct_standing(entry.outfit, animals)
    except IntegrityError:
        reasons = (
            "It can't stand beside what was written since, such as a tag that another animal wears now.",
        )
        return UndoVerdict(is_possible=False, count=0, reasons=reasons)
    mark_undone(pen.changeset)
    return verdict


def _later_work(target: Changeset, changes: Sequence[Change], after: Sequence[Changeset]) -> list[str]:
    """Name the later changesets that touched what would be taken back.

    A later change counts where it stands and is on the same row, or about an animal that this changeset
    brought into the record or merged another into: whose that work is, only a person can say.
    """
    last: dict[UUID, int] = {}
    for change in changes:
        last[change.subject_id] = max(change.position, last.get(change.subject_id, 0))
    made = {
        change.subject_id
        for change in changes
        if change.action in BRINGING and change.subject_kind == Animal.SUBJECT
    } | _joined(changes)
    latest = max(last.values())
    later: dict[UUID, set[UUID]] = defaultdict(set)
    for ids in in_steps(last):
        found = Change.objects.filter(outfit=target.outfit, subject_id__in=ids)
        for change, position in _standing_facts(found):
            if position > last[change.subject_id]:
                later[change.changeset_id].add(change.pk)
    for ids in in_steps(made):
        found = Change.objects.filter(outfit=target.outfit, animal_id__in=ids).exclude(changeset=target)
        for change, position in _standing_facts(found):
            if change.subject_id not in last and position > latest:
                later[change.changeset_id].add(change.pk)
    named = Changeset.objects.in_bulk(set(later) - {one.pk for one in after})
    return [
        f"“{named[key].title}” has built on it ({len(ids)} changes); take that back first."
        for key, ids in later.items()
        if key in named
    ]


def _joined(changes: Iterable[Change]) -> set[UUID]:
    """The animals that these changes merged another into, or split one from."""
    found = set()
    for change in changes:
        said = {**(change.before or {}), **(change.after or {})}
        if change.subject_kind == Animal.SUBJECT and "same_as_id" in said:
            kept = (change.after or {}).get("same_as_id") or (change.before or {}).get("same_as_id")
            found.add(UUID(kept) if kept else change.subject_id)
    return found


def _standing_facts(changes: QuerySet[Change]) -> list[tuple[Change, int]]:
    """The facts among changes that stand, each with the place in the feed where it was last said."""
    facts = facts_of(changes)
    words = last_words(facts)
    return [(change, words[change.pk].position) for change in facts if change.pk in words]


def _leaning(target: Changeset, changes: Sequence[Change], after: Sequence[Changeset]) -> list[str]:
    """Say what would be left hanging on rows that are taken out."""
    out = _brought(changes)
    set_back = [change for change in changes if change.action == Action.CHANGED]
    freed = {(change.subject_id, name) for change in set_back for name in change.before or {}}
    gone = _brought([*changes, *(change for one in after for change in standing_changes(one))])
    return [
        one.says
        for one in LEANINGS
        if any(
            any((key, f"{one.column}_id") not in freed and key not in gone[one.model] for key in keys)
            for ids in in_steps(out[one.upon])
            for rows in [one.model.objects.of(target.outfit).filter(**{f"{one.column}__in": ids})]
            for keys in [rows.values_list("pk", flat=True)]
        )
    ]


def _brought(changes: Iterable[Change]) -> dict[type[Record], set[UUID]]:
    """The rows that changes brought into the record, by table."""
    brought: dict[type[Record], set[UUID]] = defaultdict(set)
    for change in changes:
        if change.action in BRINGING:
            brought[SUBJECTS[change.subject_kind]].add(change.subject_id)
    return brought


def _reverse(pen: Pen, changes: Sequence[Change]) -> set[UUID]:
    """Write the opposite of each change and return the animals touched."""
    animals: set[UUID] = set()
    by_kind: dict[str, list[Change]] = defaultdict(list)
    for change in changes:
        by_kind[change.subject_kind].append(change)
        if change.animal_id:
            animals.add(change.animal_id)
    # What holds a number or a place must let go of it before another row takes it again.
    for kind in sorted(by_kind):
        model = SUBJECTS[kind]
        rows: dict[UUID, Record] = {}
        for ids in in_steps({change.subject_id for change in by_kind[kind]}):
            rows.update(model.objects.in_bulk(ids))
        for actions in (BRINGING, {Action.CHANGED}, {Action.VOIDED}):
            some = [change for change in by_kind[kind] if change.action in actions]
            columns: set[str] = set()
            for change in some:
                columns.update(_reverse_one(pen, rows[change.subject_id], change))
            # Newest first, as they come: what was given up for another row is taken again after that row let go.
            save_all([rows[key] for key in dict.fromkeys(change.subject_id for change in some)], columns)
    return animals | _held(by_kind[Group.SUBJECT])


def _held(changes: Sequence[Change]) -> set[UUID]:
    """Who is in the groups that lie elsewhere again: they stand where their group lies."""
    moved = [change.subject_id for change in changes if "location_id" in (change.before or {})]
    return set(Animal.objects.filter(group__in=moved, is_void=False).values_list("pk", flat=True))


def _reverse_one(pen: Pen, row: Record, change: Change) -> set[str]:
    """Set a row back to what it was before the change; return the columns set."""
    if change.action == Action.CREATED:
        now, back = {"is_void": False}, {"is_void": True}
    else:
        now, back = change.after or {}, change.before or {}
    for name, value in back.items():
        setattr(row, name, column_value(row, name, value))
    row.revision += 1
    pen.reverse(change, before=now, after=back, reason=f"undone {timezone.now():%Y-%m-%d}")
    return set(back)
