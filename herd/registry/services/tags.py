"""Tags: put one on, take one off, replace one that was lost or broken."""

from datetime import date
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import TagWearing
from herd.registry.services.batch import Batch, PutOn, TakeOff
from herd.registry.services.writer import write


def put_on(*, entry: Entry, tag: PutOn) -> None:
    """Put a tag on an animal; raises Refused where the tag or the animal is not free."""
    write(entry, Batch(put_on=[tag]))


def take_off(*, entry: Entry, wearing_id: UUID, on: date, ended: str) -> None:
    """Take a tag off, with the reason it ended; raises Refused."""
    write(entry, Batch(take_off=[TakeOff(wearing_id, on, ended)]))


def replace(*, entry: Entry, old: TagWearing, ended: str, new: PutOn) -> None:
    """End one wearing and begin another in one step, so that old and new number stand in one changeset.

    The record that 9 CFR 86.4 asks for after a loss or a replacement: both numbers, the date, the reason.
    """
    if new.worn_from is None:
        raise ValueError("A replaced tag needs the day on which the new one went on.")
    write(entry, Batch(take_off=[TakeOff(old.pk, new.worn_from, ended)], put_on=[new]))
