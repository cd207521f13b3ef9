"""Groups and locations: open one, move animals between them."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import Group, Location
from herd.registry.services.batch import Batch, Join, NewPlace
from herd.registry.services.writer import write


def open_group(*, entry: Entry, name: str, kind: str = "herd", location_id: UUID | None = None) -> UUID:
    """Open a group and return its id; raises Refused where the name is taken."""
    place = NewPlace(Group.SUBJECT, {"name": name.strip(), "kind": kind, "location_id": location_id})
    write(entry, Batch(places=[place]))
    return place.id


def open_location(*, entry: Entry, name: str, premises_number: str = "") -> UUID:
    """Open a location and return its id; raises Refused where the name is taken."""
    place = NewPlace(Location.SUBJECT, {"name": name.strip(), "premises_number": premises_number})
    write(entry, Batch(places=[place]))
    return place.id


def move(*, entry: Entry, animal_ids: Iterable[UUID], group_id: UUID, on: date) -> None:
    """Move animals into a group on a day; those who are in it already stay as they are."""
    write(entry, Batch(joins=[Join(animal_id, group_id, on) for animal_id in animal_ids]))
