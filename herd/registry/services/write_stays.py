"""Memberships: animals that join and leave groups."""

from datetime import date
from uuid import UUID

from herd.registry.models import Animal, Group, GroupMembership
from herd.registry.services.batch import Join, Leave
from herd.registry.services.work import Work, chunks, fetch, insert, save_all, update


def move_animals(work: Work) -> None:
    """Close open memberships of those who join or leave, and open the new ones."""
    joins, leaves = work.batch.joins, work.batch.leaves
    if not joins and not leaves:
        return
    groups = fetch(Group, work.outfit, (one.group_id for one in joins))
    animals = fetch(Animal, work.outfit, [*(one.animal_id for one in joins), *(one.animal_id for one in leaves)])
    stays = _open_stays(work, set(animals))
    for one in [*joins, *leaves]:
        if one.animal_id not in animals:
            work.refuse("That animal is not in this outfit's record.", animal_id=one.animal_id)
    rows, sources = [], []
    for join in joins:
        if join.group_id not in groups:
            work.refuse("That group is not in this outfit's record.", field_name="group")
        elif _close(work, stays, join, join.joined_on, join.group_id):
            rows.append(_stay(work, join))
            sources.append(join.source)
    joined = {join.animal_id for join in joins}
    for leave in leaves:
        if leave.animal_id not in joined:
            # A sale that a late file dates before the last move still takes the animal out of its group.
            stay = stays.get(leave.animal_id)
            day = max(leave.left_on, stay.joined_on) if stay else leave.left_on
            _close(work, stays, leave, day, None)
    if work.refusals:
        return
    save_all(stays.values(), ["left_on"])
    insert(work, rows, sources)
    work.refold.update(one.animal_id for one in [*joins, *leaves])


def _stay(work: Work, join: Join) -> GroupMembership:
    return GroupMembership(
        outfit=work.outfit, animal_id=join.animal_id, group_id=join.group_id, joined_on=join.joined_on
    )


def _open_stays(work: Work, animal_ids: set[UUID]) -> dict[UUID, GroupMembership]:
    stays: dict[UUID, GroupMembership] = {}
    for ids in chunks(animal_ids):
        rows = GroupMembership.objects.of(work.outfit).filter(animal__in=ids, left_on=None)
        stays.update({row.animal_id: row for row in rows})
    return stays


def _close(
    work: Work, stays: dict[UUID, GroupMembership], one: Join | Leave, day: date, into: UUID | None
) -> bool:
    """End the open membership on that day; False where the animal is in that group already."""
    stay = stays.get(one.animal_id)
    if stay is None:
        return True
    if stay.group_id == into:
        return False
    if day < stay.joined_on:
        work.refuse(
            f"The animal joined its group on {stay.joined_on}; it can't have left on {day}.",
            field_name="day",
            animal_id=one.animal_id,
        )
        return False
    update(work, stay, {"left_on": day}, source=one.source)
    return True
