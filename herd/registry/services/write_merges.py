"""Records merged into another and split off again, and rows that move between animals."""

from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.ledger.models import Action
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, Event, GroupMembership, Record, TagWearing
from herd.registry.services.batch import RowEdit
from herd.registry.services.work import Work, fetch, plain, save_all, subject_of, update

MOVING: dict[str, type[Record]] = {model.SUBJECT: model for model in (TagWearing, GroupMembership, Event)}

# What lets go of a number or a place is written before what takes it: voids, then edits, then what comes back.
ORDER = {True: 0, None: 1, False: 2}


def split_records(work: Work) -> None:
    """Bring records back that were merged, and note in the one they leave that it was split."""
    wanted = work.batch.split_off
    kept = fetch(Animal, work.outfit, (one.kept_id for one in wanted))
    back = []
    for one in wanted:
        if one.kept_id not in kept:
            work.refuse("That animal is not in this outfit's record.", animal_id=one.kept_id)
            continue
        if not one.is_new:
            row = Animal.objects.filter(outfit=work.outfit, pk=one.animal_id, same_as=one.kept_id).first()
            if row is None:
                work.refuse("That record was split off already.", animal_id=one.animal_id)
                continue
            _turn(work, row, {"is_void": False, "same_as_id": None}, one.reason)
            back.append(row)
        # The record it leaves says so too: a change that sets nothing, so that its history names this changeset.
        nothing = {"same_as_id": None}
        subject = subject_of(kept[one.kept_id])
        work.pen.write(subject, Action.CHANGED, before=nothing, after=nothing, reason=one.reason)
        work.refold.update((one.animal_id, one.kept_id))
    save_all(back, ["is_void", "same_as_id"])


def merge_records(work: Work) -> None:
    """Make records void and point them at the one kept; nothing may still hang on them."""
    wanted = work.batch.merged
    rows = fetch(Animal, work.outfit, (key for one in wanted for key in (one.animal_id, one.kept_id)))
    gone = []
    for one in wanted:
        row = rows.get(one.animal_id)
        if row is None or one.kept_id not in rows or one.kept_id == one.animal_id:
            work.refuse("These two are one record already.", animal_id=one.kept_id)
            continue
        if _holds_something(row):
            work.refuse("More was written about it meanwhile; look at both once more.", animal_id=one.animal_id)
            continue
        _turn(work, row, {"is_void": True, "same_as_id": one.kept_id}, one.reason)
        gone.append(row)
        work.refold.add(one.kept_id)
    save_all(gone, ["is_void", "same_as_id"])


def _holds_something(row: Animal) -> bool:
    mine: dict[str, Any] = {"animal": row.pk}
    own = any(model.objects.of(row.outfit).filter(**mine).exists() for model in MOVING.values())
    return own or Animal.objects.of(row.outfit).filter(Q(dam=row.pk) | Q(sire=row.pk)).exists()


def edit_rows(work: Work) -> None:
    """Set columns of wearings, memberships and events, table by table; both animals are computed anew.

    A row that moves is noted about the animal it moves to. The histories find what was written about it before by
    the row (queries.changes.changes_about), so that nothing has to be written twice.
    """
    for subject, model in MOVING.items():
        wanted = [one for one in work.batch.row_edits if one.subject == subject]
        wanted.sort(key=lambda one: ORDER[one.is_void])
        rows = _rows(work, model, [one.id for one in wanted])
        touched = {"is_void"}
        for one in wanted:
            row = rows.get(one.id)
            if row is None:
                work.refuse(f"That {subject} is not in this outfit's record.")
                continue
            touched.update(_edit(work, row, one))
        if work.refusals:
            return
        save_all((rows[one.id] for one in wanted), touched)


def _edit(work: Work, row: Any, one: RowEdit) -> set[str]:
    work.refold.add(row.animal_id)
    if one.is_void is None:
        update(work, row, one.facts, source=one.source, reason=one.reason)
    else:
        _turn(work, row, {"is_void": one.is_void, **one.facts}, one.reason)
    work.refold.add(row.animal_id)
    return set(one.facts)


def _rows(work: Work, model: type[Record], ids: list[UUID]) -> dict[UUID, Record]:
    """The outfit's rows with these ids, void ones as well, since some are brought back."""
    found: dict[UUID, Record] = {}
    for some in in_steps(ids):
        found.update(model.objects.filter(outfit=work.outfit).in_bulk(some))
    return found


def _turn(work: Work, row: Record, values: dict[str, Any], reason: str) -> None:
    """Take a row out of the record or bring it back, with the columns that change along; `save_all` writes it."""
    before = {name: plain(getattr(row, name)) for name in values}
    for name, value in values.items():
        setattr(row, name, value)
    row.revision += 1
    after = {name: plain(value) for name, value in values.items()}
    action = Action.VOIDED if values["is_void"] else Action.REVIVED
    work.pen.write(subject_of(row), action, before=before, after=after, reason=reason)
