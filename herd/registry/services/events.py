"""Events: record one or many, correct one, void one."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from django.db import IntegrityError, transaction

from herd.ledger.entry import Entry
from herd.registry.services.batch import Batch, NewEvent, VoidEvent
from herd.registry.services.medicine_checks import check_medicines, check_partings
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.writer import write

TWICE = "This was recorded a moment ago, perhaps by pressing twice; look at the record before you try again."


def record(*, entry: Entry, events: Sequence[NewEvent]) -> None:
    """Record events, each once by its id; raises Refused, and then none is recorded."""
    _write(entry, Batch(events=list(events)))


def correct(*, entry: Entry, event_id: UUID, new: NewEvent, reason: str) -> None:
    """Void an event and record what should have stood there; the new one names the old. Raises Refused."""
    _write(entry, Batch(voids=[VoidEvent(event_id, reason)], events=[replace(new, supersedes=event_id)]))


def void(*, entry: Entry, event_id: UUID, reason: str) -> None:
    """Void an event that did not happen; raises Refused."""
    write(entry, Batch(voids=[VoidEvent(event_id, reason)]))


def _write(entry: Entry, batch: Batch) -> None:
    try:
        with transaction.atomic():
            refusals = [*check_medicines(entry.outfit, batch.events), *check_partings(entry.outfit, batch.events)]
            if refusals:
                raise Refused(refusals)
            write(entry, batch)
    except IntegrityError as clash:
        # Two requests at once: the second finds the first's rows only when it writes its own.
        raise Refused([Refusal(TWICE)]) from clash
