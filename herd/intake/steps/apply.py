"""Apply: writes what is clear into the record, as one changeset, checked against the record of that moment."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from herd.accounts.models import Person
from herd.intake.models import (
    DayState,
    Finding,
    LineState,
    MergedLine,
    ProcessingDay,
    RowState,
    StagedRow,
)
from herd.intake.steps.home import check_home
from herd.intake.steps.settle import decided_position, feed_position, follow, merged_names, settle_day
from herd.intake.steps.writing import write_lines
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.ledger.rows import in_steps, part_of_row, read_rows, undisturbed, update_rows


@dataclass(frozen=True, slots=True)
class Applied:
    """What applying came to: the changeset if anything was written, and how many lines went back to review.

    `refused` says why the registry did not take some of those.
    """

    changeset_id: UUID | None
    lines: int
    went_back: int
    refused: Sequence[str] = ()


def apply_clear(day: ProcessingDay, person: Person | None) -> Applied:
    """Write what is clear in one transaction; raises Refused where the registry takes none of it.

    Where the record has changed since the day was decided, the day is decided again first: a line that now
    comes to something else than the person saw is not written but goes back to review.
    """
    with transaction.atomic(), undisturbed():
        asked_in = day.state
        ProcessingDay.objects.select_for_update().get(pk=day.pk)
        day.refresh_from_db()
        if asked_in == DayState.APPLYING != day.state:
            # A worker whose lease ran out was at it still, and has come to the end of it.
            return Applied(None, 0, 0)
        check_home(day)
        went_back = _settle_if_stale(day)
        lines = [line for line in _clear_lines(day) if line.key not in went_back]
        title = f"{day.name}, {day.worked_on}"
        of_device = day.device_id is not None
        entry = Entry(day.outfit, person, ChangesetKind.INTAKE, title, day_id=day.pk, is_performed=of_device)
        written = write_lines(entry, day, lines)
        _mark(day, written.lines)
        back = len(went_back) + len(lines) - len(written.lines)
        waits = back > 0 or Finding.objects.filter(day=day, is_open=True).exists()
        if waits or any(line.state == LineState.WAITING for line in written.lines):
            settle_day(day)
        day.decided_at = feed_position(day)
        day.state = DayState.REVIEW if waits else DayState.APPLIED
        day.save(update_fields=["state", "decided_at"])
    changeset = written.changeset
    return Applied(changeset.pk if changeset.change_count else None, len(written.lines), back, written.refused)


def _clear_lines(day: ProcessingDay) -> list[MergedLine]:
    states = [LineState.CLEAR, LineState.WAITING]
    columns = ("id", "key", "animal_id", "state", "proposals")
    rows = read_rows(MergedLine.objects.filter(day=day, state__in=states).order_by("id").values_list(*columns))
    lines = (part_of_row(MergedLine, **dict(zip(columns, row, strict=True))) for row in rows)
    return [line for line in lines if line.proposals]


def _settle_if_stale(day: ProcessingDay) -> set[str]:
    """Decide again where the record has moved on or rulings came; return the keys of lines to look at again.

    What the record's moving on has changed goes back; what the rulings alone have changed was asked for.
    """
    position, is_ruled_since = decided_position(day)
    has_moved = feed_position(day) != position
    if not has_moved and not is_ruled_since:
        return set()
    merged = merged_names(day)
    # What was shown of a record that was merged since is the same where the record kept comes to the same.
    shown = {follow(line.key, merged): line.proposals for line in _clear_lines(day)}
    settle_day(day)
    if not has_moved:
        return set()
    now = {line.key: line.proposals for line in _clear_lines(day)}
    return {key for key, proposals in now.items() if shown.get(key) != proposals}


def _mark(day: ProcessingDay, lines: Sequence[MergedLine]) -> None:
    rows = [row for line in lines for row in _rows_of(line)]
    for ids in in_steps(rows):
        StagedRow.objects.filter(pk__in=ids).update(was_applied=True, state=RowState.APPLIED, reason="")
    # What made a new animal must not make another when the day is decided again.
    made = [line for line in lines if line.key.startswith("new:")]
    update_rows(
        (part_of_row(StagedRow, id=row, animal_id=line.animal_id) for line in made for row in _rows_of(line)),
        ["animal_id"],
    )
    for ids in in_steps(line.pk for line in lines if line.state == LineState.CLEAR):
        MergedLine.objects.filter(pk__in=ids).update(state=LineState.APPLIED, proposals=[])


def _rows_of(line: MergedLine) -> set[UUID]:
    return {UUID(row) for row in {row for one in line.proposals for row in one["rows"]}}
