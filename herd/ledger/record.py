"""The only pen of the ledger: collects the changes of one changeset and writes them with their positions."""

import logging
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.entry import TYPED, Entry, Source, Subject
from herd.ledger.models import Action, Change, Changeset, FeedCounter
from herd.ledger.rows import insert_rows, new_row
from herd.ledger.statistics import renew_statistics
from herd.values.identity import new_id

logger = logging.getLogger(__name__)

OPPOSITE = {
    Action.CREATED: Action.VOIDED,
    Action.REVIVED: Action.VOIDED,
    Action.VOIDED: Action.REVIVED,
    Action.CHANGED: Action.CHANGED,
}


# So many changes at once may have made a small table a large one.
MANY = 2_000


class Pen:
    """Collects changes while a service works; `changeset` writes them at the end of the transaction."""

    def __init__(self, entry: Entry, changeset: Changeset) -> None:
        self.entry = entry
        self.changeset = changeset
        self.changes: list[Change] = []

    def write(
        self,
        subject: Subject,
        action: Action,
        *,
        before: Mapping[str, Any] | None = None,
        after: Mapping[str, Any] | None = None,
        source: Source = TYPED,
        reason: str = "",
    ) -> None:
        """Note one change; values must be plain JSON."""
        row = new_row(
            Change,
            outfit_id=self.entry.outfit.pk,
            changeset_id=self.changeset.pk,
            subject_kind=subject.kind,
            subject_id=subject.id,
            animal_id=subject.animal_id,
            action=action,
            before=before,
            after=after,
            reason=reason,
            source_row=source.row,
            source_file=source.file,
            source_line=source.line,
        )
        self.changes.append(row)

    def carry(self, change: Change) -> None:
        """Note a change that was written in another installation first, with the id and the words it has there."""
        change.outfit_id, change.changeset_id = self.entry.outfit.pk, self.changeset.pk
        self.changes.append(change)

    def reverse(
        self, taken_back: Change, *, before: Mapping[str, Any], after: Mapping[str, Any], reason: str
    ) -> None:
        """Note that a change is taken back; the source stays the one of the change itself."""
        subject = Subject(taken_back.subject_kind, taken_back.subject_id, taken_back.animal_id)
        source = Source(taken_back.source_file, taken_back.source_line, taken_back.source_row)
        action = OPPOSITE[Action(taken_back.action)]
        self.write(subject, action, before=before, after=after, source=source, reason=reason)
        self.changes[-1].undoes = taken_back.pk


@contextmanager
def changeset(entry: Entry) -> Iterator[Pen]:
    """Open a transaction and a changeset; on leaving, number the changes and write them.

    The counter row is the last lock taken, so that positions appear in the order of commits and waiting
    writers hold it only for the blink of the final inserts. A changeset without changes leaves no trace.
    """
    with transaction.atomic():
        written = Changeset(
            id=entry.id or new_id(),
            outfit=entry.outfit,
            kind=entry.kind,
            title=entry.title[:200],
            person=entry.person,
            person_name=str(entry.person) if entry.person else entry.signed[:150],
            day_id=entry.day_id,
            undoes=entry.undoes,
            recorded_at=entry.recorded_at or timezone.now(),
            is_performed=entry.is_performed,
        )
        pen = Pen(entry, written)
        yield pen
        if pen.changes:
            _flush(pen)
            transaction.on_commit(partial(_tell, written), robust=True)
        if len(pen.changes) >= MANY:
            transaction.on_commit(renew_statistics, robust=True)


def _tell(written: Changeset) -> None:
    """Name what is kept by now in the log, beside the request or task that wrote it."""
    logger.info(
        "changeset kept",
        extra={"changeset": str(written.pk), "outfit": str(written.outfit_id), "changes": written.change_count},
    )


def _flush(pen: Pen) -> None:
    """Write the changeset, take the counter, number the changes, insert them."""
    written, changes = pen.changeset, pen.changes
    written.change_count = len(changes)
    written.save(force_insert=True)
    for number, change in enumerate(changes, start=_take_positions(pen.entry.outfit, len(changes))):
        change.position = number
    insert_rows(changes)


def _take_positions(outfit: Outfit, count: int) -> int:
    """Advance the outfit's counter by `count` under its lock and return the first new position."""
    counters = FeedCounter.objects.filter(outfit=outfit)
    if not counters.update(position=F("position") + count):
        FeedCounter.objects.get_or_create(outfit=outfit)
        counters.update(position=F("position") + count)
    return counters.get().position - count + 1
