"""Writes a batch: a list of steps in one transaction, with one changeset."""

from collections.abc import Callable

from django.utils import timezone

from herd.ledger.entry import Entry
from herd.ledger.models import Changeset
from herd.ledger.record import changeset
from herd.registry.services.batch import Batch
from herd.registry.services.refused import Refused
from herd.registry.services.standing import refold
from herd.registry.services.work import Work
from herd.registry.services.write_animals import edit_animals, insert_animals
from herd.registry.services.write_events import insert_events, void_events
from herd.registry.services.write_merges import edit_rows, merge_records, split_records
from herd.registry.services.write_places import edit_places, insert_places
from herd.registry.services.write_stays import insert_stays, move_animals, reopen_stays
from herd.registry.services.write_tags import put_tags_on, take_tags_off

STEPS: tuple[Callable[[Work], None], ...] = (
    insert_places,
    edit_places,
    insert_animals,
    split_records,
    edit_animals,
    edit_rows,
    merge_records,
    take_tags_off,
    put_tags_on,
    void_events,
    reopen_stays,
    insert_events,
    move_animals,
    insert_stays,
    refold,
)


def write(entry: Entry, batch: Batch) -> Changeset:
    """Write all of a batch or nothing.

    Raises Refused with every reason the step that failed could find; the transaction is rolled back.
    """
    with changeset(entry) as pen:
        work = Work(entry.outfit, batch, pen, timezone.now())
        for step in STEPS:
            step(work)
            if work.refusals:
                raise Refused(work.refusals)
    return pen.changeset
