"""Sets the record to what the installation decides where it is kept: rows as they are there, and its ledger."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.copied import number_changes, provisional, replace_ledger
from herd.ledger.models import Action, Change, Changeset, ChangesetKind
from herd.ledger.rows import in_steps
from herd.registry.models import SUBJECTS, Animal, Group, Record
from herd.registry.services.put_rows import put_rows
from herd.registry.services.replaying.values import new_row, read_values
from herd.registry.services.standing import correct_standing
from herd.registry.services.undone import mark_undone
from herd.values.identity import new_id

FOLLOWS = "Follows what was decided in the office"
# Rows that devices hold besides animals, and have to be told of.
TOLD = frozenset({"group", "location", "product"})


@dataclass(frozen=True, slots=True)
class RowThere:
    """A row as it is in the other installation: all columns that do not follow from others."""

    kind: str
    id: UUID
    is_void: bool
    columns: Mapping[str, Any]


@dataclass(slots=True)
class News:
    """What was decided since: changesets, their changes in order, rows as they are, ids that are not there."""

    changesets: dict[UUID, Changeset] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)
    rows: dict[UUID, RowThere] = field(default_factory=dict)
    absent: dict[UUID, str] = field(default_factory=dict)


def follow(outfit: Outfit, news: News, *, settled_to: int, expected: int) -> int:
    """Make our record what the other one is, and return the new end of our feed.

    `settled_to` is the position up to which both were the same, `expected` where our feed was when the last of ours
    had been sent; raises ledger.copied.Moved where more was written since. One transaction.
    """
    with transaction.atomic():
        own = provisional(outfit, settled_to)
        touched, left = _set_rows(outfit, news)
        correct_standing(outfit, _animals(outfit, touched, own.values()) | left)
        untold = _untold(news.changes, touched, left)
        changes = [*untold, *news.changes]
        end = number_changes(outfit, changes, expected)
        changesets = {**{one.changeset_id: one.changeset for one in untold}, **news.changesets}
        doubtful = replace_ledger(outfit, changesets, changes, own)
        for target in Changeset.objects.filter(pk__in=doubtful):
            mark_undone(target)
    return end


def _set_rows(outfit: Outfit, news: News) -> tuple[list[Record], set[UUID]]:
    """Write the rows that differ, and return them with the animals that they were about before.

    What is not there at all is taken out here. A row that a merge had brought to one animal goes back to another.
    """
    ids: dict[str, set[UUID]] = defaultdict(set)
    for key, kind in [*((told.id, told.kind) for told in news.rows.values()), *news.absent.items()]:
        ids[kind].add(key)
    new: list[Record] = []
    changed: list[Record] = []
    left: set[UUID | None] = set()
    for kind, model in SUBJECTS.items():
        here = _held(outfit, model, ids[kind])
        for key in sorted(ids[kind]):
            there, row = news.rows.get(key), here.get(key)
            if row is None and there is not None:
                row = new_row(kind, key, outfit.pk, read_values(model, there.columns))
                row.is_void = there.is_void
                new.append(row)
            elif row is not None:
                about = row.about
                if _differs(row, there):
                    changed.append(row)
                    left.add(about)
    put_rows(new, changed)
    return [*new, *changed], {one for one in left if one}


def _held(outfit: Outfit, model: type[Record], ids: Iterable[UUID]) -> dict[UUID, Record]:
    """The rows that are here of these, held until all is written."""
    here: dict[UUID, Record] = {}
    for some in in_steps(sorted(ids)):
        rows = model.objects.filter(outfit=outfit, pk__in=some).order_by("pk").select_for_update()
        here.update({row.pk: row for row in rows})
    return here


def _differs(row: Record, there: RowThere | None) -> bool:
    """Set a row to what it is there; False where it is so already. A row's revision never goes back."""
    if there is None:
        wanted: dict[str, Any] = {"is_void": True}
    else:
        wanted = {**read_values(type(row), there.columns), "is_void": there.is_void}
    if all(getattr(row, name) == value for name, value in wanted.items()):
        return False
    for name, value in wanted.items():
        setattr(row, name, value)
    row.revision += 1
    return True


def _animals(outfit: Outfit, touched: Iterable[Record], own: Iterable[tuple[UUID, str, UUID]]) -> set[UUID]:
    """The animals whose standing may be another now."""
    touched = list(touched)
    found = {row.about for row in touched if row.about} | {key for _, kind, key in own if kind == Animal.SUBJECT}
    groups = [row.pk for row in touched if isinstance(row, Group)]
    for ids in in_steps(groups):
        found |= set(Animal.objects.of(outfit).filter(group__in=ids).values_list("pk", flat=True))
    return found


def _untold(changes: Sequence[Change], touched: Iterable[Record], left: Iterable[UUID]) -> list[Change]:
    """A mark in the feed for each row that was set back and that no change speaks of, so that devices hear of it.

    `left` are animals that rows were about before they were set back.
    """
    spoken = {one.animal_id for one in changes} | {one.subject_id for one in changes}
    silent: dict[UUID, tuple[str, UUID | None]] = {key: (Animal.SUBJECT, key) for key in left if key not in spoken}
    for row in touched:
        if row.about and row.about not in spoken:
            silent[row.about] = (Animal.SUBJECT, row.about)
        elif row.SUBJECT in TOLD and row.pk not in spoken:
            silent[row.pk] = (row.SUBJECT, None)
    if not silent:
        return []
    one = next(iter(touched))
    written = _mark(one.outfit_id)
    return [
        Change(
            outfit_id=one.outfit_id,
            changeset=written,
            subject_kind=kind,
            subject_id=key,
            animal_id=about,
            action=Action.CHANGED,
            before={},
            after={},
        )
        for key, (kind, about) in sorted(silent.items())
    ]


def _mark(outfit_id: UUID) -> Changeset:
    return Changeset(
        id=new_id(),
        outfit_id=outfit_id,
        kind=ChangesetKind.SETUP,
        title=FOLLOWS,
        recorded_at=timezone.now(),
        is_performed=True,
    )
