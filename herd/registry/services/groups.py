"""Groups and locations: open, change and close them, move animals and whole groups between them."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import Group, Location
from herd.registry.queries.groupplaces import group_places, moved_reason
from herd.registry.queries.headcount import members_on
from herd.registry.queries.stays import judge_move
from herd.registry.services.batch import Batch, EditPlace, Join, NewEvent, NewPlace
from herd.registry.services.refused import Refusal, Refused
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


def change_group(*, entry: Entry, group_id: UUID, facts: Mapping[str, Any], reason: str = "") -> None:
    """Put a group's name, kind or location right; raises Refused where the name is taken.

    A location set here counts for the time since the group's last move; `move_to_location` is for one that moves.
    """
    write(entry, Batch(place_edits=[EditPlace(Group.SUBJECT, group_id, facts, reason)]))


def close_group(*, entry: Entry, group: Group, on: date, into_id: UUID | None = None) -> None:
    """Close a group; those still in it move into another on the day. Raises Refused where that is not said."""
    held = list(group.animals.filter(is_void=False).order_by("pk").values_list("pk", flat=True))
    if held and into_id is None:
        verb = "is" if len(held) == 1 else "are"
        raise Refused([Refusal(f"{len(held)} head {verb} in {group.name}; say where they go.", "into")])
    joins = _joins(entry, held, into_id, on) if into_id else []
    closing = EditPlace(Group.SUBJECT, group.pk, {"is_closed": True})
    write(entry, Batch(place_edits=[closing], joins=joins))


def reopen_group(*, entry: Entry, group: Group) -> None:
    """Open a closed group again; those who left it stay where they are."""
    write(entry, Batch(place_edits=[EditPlace(Group.SUBJECT, group.pk, {"is_closed": False})]))


def retire_location(*, entry: Entry, location: Location, is_retired: bool) -> None:
    """Take a location out of use, or into use again; raises Refused while an open group lies there."""
    lying = location.groups.filter(is_void=False, is_closed=False).order_by("name").values_list("name", flat=True)
    if is_retired and lying:
        raise Refused([Refusal(f"{', '.join(lying)} lies there; move it to another location first.")])
    edit = EditPlace(Location.SUBJECT, location.pk, {"is_retired": is_retired})
    write(entry, Batch(place_edits=[edit]))


def move(*, entry: Entry, animal_ids: Iterable[UUID], group_id: UUID, on: date) -> None:
    """Move animals into a group on a day; those who are in it already stay as they are.

    Raises Refused, with a reason for each animal that can't join it on that day, and then none is moved.
    """
    write(entry, Batch(joins=_joins(entry, list(animal_ids), group_id, on)))


def move_to_location(*, entry: Entry, group: Group, location: Location, on: date) -> int:
    """Move a whole group to another location on a day: a movement of each who was in it, and the group's new place.

    Returns how many head moved; raises Refused where the group has moved on since that day.
    """
    last = group_places(entry.outfit).last_moved(group.pk)
    if last is not None and on < last:
        raise Refused([Refusal(f"{group.name} moved on {last} already; take that move back first.", "on")])
    if group.location_id == location.pk:
        raise Refused([Refusal(f"{group.name} lies at {location.name} already.", "location")])
    moved = members_on(entry.outfit, group.pk, on)
    data = {"to": location.name, "location": str(location.pk)}
    edit = EditPlace(Group.SUBJECT, group.pk, {"location_id": location.pk}, moved_reason(on))
    write(entry, Batch(place_edits=[edit], events=[NewEvent(one, "movement", on, data) for one in moved]))
    return len(moved)


def _joins(entry: Entry, animal_ids: list[UUID], group_id: UUID, on: date) -> list[Join]:
    """The joins of a move, once nothing speaks against any of them."""
    if Group.objects.of(entry.outfit).filter(pk=group_id, is_closed=True).exists():
        raise Refused([Refusal("That group is closed; open it again first.", "group")])
    verdict = judge_move(entry.outfit, animal_ids, group_id, on)
    if verdict.refused:
        raise Refused([Refusal(reason, "day", key) for key, reason in verdict.refused.items()])
    there = set(verdict.there)
    # An id that is not in the record goes on to the writer, which says so.
    return [Join(one, group_id, on) for one in dict.fromkeys(animal_ids) if one not in there]
