"""Events: record one or many, correct one, void one."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.services.batch import Batch, NewEvent, VoidEvent
from herd.registry.services.writer import write


def record(*, entry: Entry, events: Sequence[NewEvent]) -> None:
    """Record events; raises Refused, and then none is recorded."""
    write(entry, Batch(events=list(events)))


def correct(*, entry: Entry, event_id: UUID, new: NewEvent, reason: str) -> None:
    """Void an event and record what should have stood there; the new one names the old."""
    write(entry, Batch(voids=[VoidEvent(event_id, reason)], events=[replace(new, supersedes=event_id)]))


def void(*, entry: Entry, event_id: UUID, reason: str) -> None:
    """Void an event that did not happen; raises Refused."""
    write(entry, Batch(voids=[VoidEvent(event_id, reason)]))
