"""Rows of lists (products, breeds, locations, boxes, kept lists): add one, correct one, take one out."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.services.batch import Batch, EditPlace, NewPlace
from herd.registry.services.writer import write


def add(*, entry: Entry, subject: str, facts: Mapping[str, Any]) -> UUID:
    """Add a row to the list of a subject and return its id; raises Refused, as where its name is taken."""
    place = NewPlace(subject, facts)
    write(entry, Batch(places=[place]))
    return place.id


def correct(*, entry: Entry, subject: str, row_id: UUID, facts: Mapping[str, Any], reason: str = "") -> None:
    """Set columns of a row of a list; raises Refused."""
    write(entry, Batch(place_edits=[EditPlace(subject, row_id, facts, reason)]))


def take_out(*, entry: Entry, subject: str, row_id: UUID, reason: str = "") -> None:
    """Take a row out of its list; raises Refused where something in the record names it."""
    write(entry, Batch(place_edits=[EditPlace(subject, row_id, {}, reason, is_void=True)]))


def take_in(
    *, entry: Entry, subject: str, new: Sequence[Mapping[str, Any]], changed: Mapping[UUID, Mapping[str, Any]]
) -> None:
    """Add and correct many rows of a list in one changeset, as a file brings them; raises Refused."""
    edits = [EditPlace(subject, row_id, facts) for row_id, facts in changed.items()]
    write(entry, Batch(places=[NewPlace(subject, facts) for facts in new], place_edits=edits))
