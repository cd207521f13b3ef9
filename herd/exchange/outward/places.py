"""Locations, groups as animal sets, and who joined and left them when."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any
from uuid import UUID

from herd.exchange.kinds.shape import filled
from herd.exchange.moments import say_day
from herd.exchange.names import ANIMAL, EXTENSION, LOCATION, PREMISES, say_identifier
from herd.exchange.outward.scope import Scope, ids_of
from herd.registry.models import Animal, Group, GroupKind, GroupMembership, Location

PURPOSES = {GroupKind.PEN: "Enclosure", GroupKind.PASTURE: "Enclosure", GroupKind.LOT: "Feeding"}


def say_locations(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield the outfit's locations."""
    if not scope.is_whole:
        return
    for rows in scope.stretches(Location.objects.of(scope.outfit), Location.SUBJECT):
        modified = scope.modified(ids_of(rows), (Location.SUBJECT,))
        for row in rows:
            yield say_location(scope, row) | {"meta": scope.meta(row.pk, modified.get(row.pk))}


def say_location(scope: Scope, row: Location) -> dict[str, Any]:
    """One location, with its premises number as another identifier."""
    numbers = [say_identifier(PREMISES, row.premises_number)] if row.premises_number else []
    return filled(
        {
            "resourceType": "icarLocationResource",
            "identifier": say_identifier(LOCATION, row.pk),
            "alternativeIdentifiers": numbers,
            "name": row.name,
            "timeZoneId": scope.outfit.time_zone,
            EXTENSION: {"isRetired": True} if row.is_retired else {},
        }
    )


def say_sets(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield the groups with who is in them now."""
    for groups in scope.stretches(groups_of(scope), Group.SUBJECT):
        yield from say_set_stretch(scope, groups)


def groups_of(scope: Scope) -> Any:
    """The groups of this part."""
    rows = Group.objects.of(scope.outfit).select_related("location")
    rows = rows.filter(pk__in=scope.groups) if scope.groups else rows
    return rows.filter(location=scope.location) if scope.location else rows


def say_set_stretch(scope: Scope, groups: Sequence[Group]) -> Iterator[dict[str, Any]]:
    """Yield these groups."""
    members: dict[UUID | None, list[dict[str, str]]] = defaultdict(list)
    inside = Animal.objects.of(scope.outfit).filter(group__in=ids_of(groups)).order_by("pk")
    for key, held_in in inside.values_list("pk", "group_id"):
        members[held_in].append(say_identifier(ANIMAL, key))
    modified = scope.modified(ids_of(groups), (Group.SUBJECT,))
    for group in groups:
        place = group.location.name if group.location else None
        yield {
            "resourceType": "icarAnimalSetResource",
            "id": str(group.pk),
            "meta": scope.meta(group.pk, modified.get(group.pk)),
            "location": scope.place,
            "name": group.name,
            "purpose": PURPOSES.get(GroupKind(group.kind), "Other"),
            "member": members[group.pk],
            EXTENSION: filled({"kind": group.kind, "isClosed": group.is_closed or None, "lies": place}),
        }


def say_joins(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield when each animal joined each group."""
    for stays in scope.stretches(stays_of(scope), GroupMembership.SUBJECT):
        yield from say_moves(scope, stays, "Join")


def say_leaves(scope: Scope) -> Iterator[dict[str, Any]]:
    """Yield when each animal left each group."""
    for stays in scope.stretches(stays_of(scope).filter(left_on__isnull=False), GroupMembership.SUBJECT):
        yield from say_moves(scope, stays, "Leave")


def stays_of(scope: Scope) -> Any:
    """The stays of this part's animals."""
    rows = GroupMembership.objects.of(scope.outfit).filter(animal__is_void=False).filter(scope.of_animals("animal__"))
    return rows.select_related("group")


def say_moves(scope: Scope, stays: Sequence[GroupMembership], move: str) -> Iterator[dict[str, Any]]:
    """Yield these stays as joining or leaving."""
    modified = scope.modified(ids_of(stays), (GroupMembership.SUBJECT,))
    for stay in stays:
        key, day = f"{stay.pk}:{move.lower()}", stay.joined_on if move == "Join" else stay.left_on
        yield {
            "resourceType": f"icarAnimalSet{move}EventResource",
            "id": key,
            "meta": scope.meta(key, modified.get(stay.pk)),
            "location": scope.place,
            "animal": say_identifier(ANIMAL, stay.animal_id),
            "eventDateTime": say_day(day) if day else "",
            "animalSetId": str(stay.group_id),
            EXTENSION: {"stay": str(stay.pk), "group": stay.group.name},
        }
