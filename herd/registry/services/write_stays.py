"""Memberships: animals that join and leave groups."""

from collections import Counter
from datetime import date
from uuid import UUID

from herd.ledger.rows import in_steps, new_row
from herd.registry.models import Animal, Event, Group, GroupMembership
from herd.registry.services.batch import Join, Leave, Stayed
from herd.registry.services.work import Work, fetch, insert, save_all, update
from herd.values.eventkinds import EVENT_KINDS, LEAVING

LEAVING_KINDS = [kind.key for kind in EVENT_KINDS.values() if kind.effect in LEAVING]


def reopen_stays(work: Work) -> None:
    """Open again the memberships that the batch's voided sales, deaths and losses had closed."""
    if not work.returns:
        return
    days: dict[tuple[UUID, date | None], Leave] = {(one.animal_id, one.left_on): one for one in work.returns}
    still_open = _open_stays(work, {one.animal_id for one in work.returns})
    rows = []
    for ids in in_steps({animal_id for animal_id, _ in days} - set(still_open)):
        closed = GroupMembership.objects.of(work.outfit).filter(animal__in=ids, left_on__isnull=False)
        last = {row.animal_id: row for row in closed.order_by("joined_on", "left_on", "id")}
        gone = Event.objects.of(work.outfit).filter(animal__in=ids, kind__in=LEAVING_KINDS)
        for animal_id, day in gone.values_list("animal_id", "happened_on"):
            days.pop((animal_id, day), None)
        for row in last.values():
            one = days.get((row.animal_id, row.left_on))
            if one is not None and update(work, row, {"left_on": None}, source=one.source):
                rows.append(row)
    save_all(rows, ["left_on"])


def move_animals(work: Work) -> None:
    """Close open memberships of those who join or leave, and open the new ones, day by day."""
    # On one day an animal joins before it leaves: one bought and sold the same day ends in no group.
    moves: list[Join | Leave] = [*work.batch.joins, *work.batch.leaves, *work.leaves]
    if not moves:
        return
    moves.sort(key=_day)
    _check_known(work, moves)
    if work.refusals:
        return
    stays = _open_stays(work, {one.animal_id for one in moves})
    old = list(stays.values())
    new: dict[UUID, tuple[GroupMembership, Join]] = {}
    for move in moves:
        stay = stays.get(move.animal_id)
        if isinstance(move, Join) and stay is not None and stay.group_id == move.group_id:
            continue
        if stay is not None:
            _close(work, stay, move, is_new=stay.pk in new)
            del stays[move.animal_id]
        if isinstance(move, Join):
            stays[move.animal_id] = opened = _stay(work, move)
            new[opened.pk] = (opened, move)
    if work.refusals:
        return
    save_all((stay for stay in old if stay.left_on), ["left_on"])
    insert(work, [stay for stay, _ in new.values()], [join.source for _, join in new.values()])
    work.refold.update(one.animal_id for one in moves)


def insert_stays(work: Work) -> None:
    """Insert memberships that are known whole, after the moves, which they neither close nor follow."""
    wanted = work.batch.stays
    if not wanted:
        return
    _check_known(work, [Join(one.animal_id, one.group_id, one.joined_on) for one in wanted])
    open_ones = [one.animal_id for one in wanted if one.left_on is None]
    taken = {*_open_stays(work, set(open_ones)), *(key for key, count in Counter(open_ones).items() if count > 1)}
    for one in wanted:
        if one.left_on is None and one.animal_id in taken:
            work.refuse("An animal is in one group at a time.", field_name="group", animal_id=one.animal_id)
        elif one.left_on and one.left_on < one.joined_on:
            reason = f"The animal joined its group on {one.joined_on}; it can't have left on {one.left_on}."
            work.refuse(reason, field_name="day", animal_id=one.animal_id)
    if work.refusals:
        return
    insert(work, [_known_stay(work, one) for one in wanted], [one.source for one in wanted])
    work.refold.update(one.animal_id for one in wanted)


def _known_stay(work: Work, one: Stayed) -> GroupMembership:
    return new_row(
        GroupMembership,
        id=one.id,
        outfit_id=work.outfit.pk,
        animal_id=one.animal_id,
        group_id=one.group_id,
        joined_on=one.joined_on,
        left_on=one.left_on,
    )


def _day(move: Join | Leave) -> date:
    return move.joined_on if isinstance(move, Join) else move.left_on


def _check_known(work: Work, moves: list[Join | Leave]) -> None:
    animals = fetch(Animal, work.outfit, (one.animal_id for one in moves))
    groups = fetch(Group, work.outfit, (one.group_id for one in moves if isinstance(one, Join)))
    for one in moves:
        if one.animal_id not in animals:
            work.refuse("That animal is not in this outfit's record.", animal_id=one.animal_id)
        if isinstance(one, Join) and one.group_id not in groups:
            work.refuse("That group is not in this outfit's record.", field_name="group")


def _stay(work: Work, join: Join) -> GroupMembership:
    return new_row(
        GroupMembership,
        outfit_id=work.outfit.pk,
        animal_id=join.animal_id,
        group_id=join.group_id,
        joined_on=join.joined_on,
    )


def _open_stays(work: Work, animal_ids: set[UUID]) -> dict[UUID, GroupMembership]:
    stays: dict[UUID, GroupMembership] = {}
    for ids in in_steps(animal_ids):
        rows = GroupMembership.objects.of(work.outfit).filter(animal__in=ids, left_on=None)
        stays.update({row.animal_id: row for row in rows})
    return stays


def _close(work: Work, stay: GroupMembership, move: Join | Leave, *, is_new: bool) -> None:
    """End a membership on the day of a move; one that this batch opens is not in the ledger yet."""
    day = _day(move)
    if isinstance(move, Leave):
        # A sale that a late file dates before the last move still takes the animal out of its group.
        day = max(day, stay.joined_on)
    if day < stay.joined_on:
        work.refuse(
            f"The animal joined its group on {stay.joined_on}; it can't have left on {day}.",
            field_name="day",
            animal_id=move.animal_id,
        )
    elif is_new:
        stay.left_on = day
    else:
        update(work, stay, {"left_on": day}, source=move.source)
