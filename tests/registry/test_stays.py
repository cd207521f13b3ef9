"""Who came and who went, moves of whole groups, and what they leave behind when taken back."""

from datetime import date
from uuid import UUID

import pytest
from django.core.management import call_command

from herd.accounts.models import Outfit
from herd.ledger.models import Changeset
from herd.registry.models import Animal, Event, Group, Location
from herd.registry.queries.headcount import members_on
from herd.registry.queries.stays import animals_at, group_passages, judge_move, place_passages
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Leave, NewEvent
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from herd.registry.undo import undo
from tests.cast import entry, register

SPRING, SUMMER, FALL = date(2025, 3, 1), date(2025, 6, 1), date(2025, 10, 1)


@pytest.fixture
def bench(kettle_bench: Outfit) -> UUID:
    return groups.open_location(entry=entry(kettle_bench), name="Bench")


@pytest.fixture
def creek(kettle_bench: Outfit) -> UUID:
    return groups.open_location(entry=entry(kettle_bench), name="Creek")


@pytest.fixture
def cows(kettle_bench: Outfit, bench: UUID) -> UUID:
    return groups.open_group(entry=entry(kettle_bench), name="Cows", location_id=bench)


@pytest.fixture
def culls(kettle_bench: Outfit) -> UUID:
    return groups.open_group(entry=entry(kettle_bench), name="Culls")


def move_group(outfit: Outfit, group: UUID, place: UUID, on: date, title: str = "moved") -> int:
    return groups.move_to_location(
        entry=entry(outfit, title=title),
        group=Group.objects.get(pk=group),
        location=Location.objects.get(pk=place),
        on=on,
    )


def place_of(animal: UUID) -> UUID | None:
    return Animal.objects.get(pk=animal).location_id


def agrees(outfit: Outfit) -> None:
    """The row of every animal says what its life says; raises SystemExit where one does not."""
    call_command("check_record", outfit=outfit.code)


def sell(outfit: Outfit, animal: UUID, on: date) -> None:
    write(entry(outfit), Batch(events=[NewEvent(animal, "sale", on)]))


def test_a_group_lists_who_joined_and_who_left_with_where_from_and_to(kettle_bench, cows, culls) -> None:
    stayer = register(kettle_bench, on=SPRING, group_id=cows)
    culled = register(kettle_bench, on=SPRING, group_id=cows)
    sold = register(kettle_bench, on=SPRING, group_id=cows)
    groups.move(entry=entry(kettle_bench), animal_ids=[culled], group_id=culls, on=SUMMER)
    sell(kettle_bench, sold, FALL)
    bought = register(kettle_bench, on=FALL, group_id=cows)
    told = [
        (one.day, one.animal_id, one.before and one.before.group, one.after and (one.after.status, one.after.group))
        for one in group_passages(kettle_bench, cows, SUMMER, FALL)
    ]
    assert told == [
        (SUMMER, culled, cows, ("on_hand", culls)),
        (FALL, sold, cows, ("sold", None)),
        (FALL, bought, None, ("on_hand", cows)),
    ]
    assert members_on(kettle_bench, cows, FALL) == sorted([stayer, bought])


def test_what_was_there_and_what_came_and_went_makes_what_is_there(kettle_bench, cows, culls) -> None:
    herd = [register(kettle_bench, on=SPRING, group_id=cows) for _ in range(5)]
    groups.move(entry=entry(kettle_bench), animal_ids=herd[:2], group_id=culls, on=SUMMER)
    groups.move(entry=entry(kettle_bench), animal_ids=herd[:1], group_id=cows, on=FALL)
    passages = group_passages(kettle_bench, cows, date(2025, 3, 2), FALL)
    came = sum(one.after is not None and one.after.group == cows for one in passages)
    assert (len(passages), came) == (3, 1)
    assert 5 + came - (len(passages) - came) == len(members_on(kettle_bench, cows, FALL))


def test_a_whole_group_moves_with_a_movement_of_each(kettle_bench, cows, bench, creek) -> None:
    cow = register(kettle_bench, on=SPRING, group_id=cows)
    gone = register(kettle_bench, on=SPRING, group_id=cows)
    sell(kettle_bench, gone, date(2025, 4, 1))
    assert move_group(kettle_bench, cows, creek, SUMMER) == 1
    assert Event.objects.get(kind="movement").data == {"to": "Creek", "location": str(creek)}
    assert (place_of(cow), place_of(gone)) == (creek, None)
    assert animals_at(kettle_bench, bench, SPRING) == sorted([cow, gone])
    assert animals_at(kettle_bench, creek, SUMMER) == [cow]
    assert animals_at(kettle_bench, bench, SUMMER) == []
    later = register(kettle_bench, on=FALL, group_id=cows)
    assert place_of(later) == creek
    agrees(kettle_bench)


def test_a_move_recorded_late_reaches_who_was_there_that_day(kettle_bench, cows, culls, creek) -> None:
    left = register(kettle_bench, on=SPRING, group_id=cows)
    groups.move(entry=entry(kettle_bench), animal_ids=[left], group_id=culls, on=FALL)
    move_group(kettle_bench, cows, creek, SUMMER)
    assert animals_at(kettle_bench, creek, SUMMER) == [left]
    agrees(kettle_bench)


def test_a_place_lists_who_came_and_who_went(kettle_bench, cows, bench, creek) -> None:
    cow = register(kettle_bench, on=SPRING, group_id=cows)
    move_group(kettle_bench, cows, creek, SUMMER)
    sell(kettle_bench, cow, FALL)
    year = (date(2025, 1, 1), date(2025, 12, 31))
    assert [one.day for one in place_passages(kettle_bench, bench, *year)] == [SPRING, SUMMER]
    assert [one.day for one in place_passages(kettle_bench, creek, *year)] == [SUMMER, FALL]
    assert place_passages(kettle_bench, creek, date(2025, 11, 1), date(2025, 12, 31)) == []


def test_an_undone_move_leaves_everyone_where_they_were(kettle_bench, cows, bench, creek) -> None:
    cow = register(kettle_bench, on=SPRING, group_id=cows)
    move_group(kettle_bench, cows, creek, SUMMER, title="to the creek")
    later = register(kettle_bench, on=FALL, group_id=cows)
    target = Changeset.objects.get(title="to the creek")
    assert undo(entry(kettle_bench, title="back"), target).is_possible
    assert (place_of(cow), place_of(later)) == (bench, bench)
    assert animals_at(kettle_bench, creek, FALL) == []
    agrees(kettle_bench)
    assert undo(entry(kettle_bench), Changeset.objects.get(title="back")).is_possible
    assert (place_of(cow), place_of(later)) == (creek, creek)
    assert animals_at(kettle_bench, bench, SPRING) == [cow]
    agrees(kettle_bench)


def test_a_location_put_right_counts_for_the_whole_time(kettle_bench, cows, bench, creek) -> None:
    cow = register(kettle_bench, on=SPRING, group_id=cows)
    groups.change_group(entry=entry(kettle_bench), group_id=cows, facts={"location_id": creek})
    assert place_of(cow) == creek
    sell(kettle_bench, cow, FALL)
    assert animals_at(kettle_bench, creek, SPRING) == [cow]
    assert animals_at(kettle_bench, bench, SPRING) == []
    agrees(kettle_bench)


def test_a_group_does_not_move_before_its_last_move_nor_to_where_it_lies(kettle_bench, cows, bench, creek) -> None:
    move_group(kettle_bench, cows, creek, SUMMER)
    with pytest.raises(Refused, match="Cows moved on 2025-06-01 already"):
        move_group(kettle_bench, cows, bench, SPRING)
    with pytest.raises(Refused, match="lies at Creek already"):
        move_group(kettle_bench, cows, creek, FALL)


def test_a_move_into_a_stay_that_ended_later_is_refused(kettle_bench, cows, culls) -> None:
    cow = register(kettle_bench, on=SPRING, group_id=cows)
    write(entry(kettle_bench), Batch(leaves=[Leave(cow, FALL)]))
    reasons = judge_move(kettle_bench, [cow], culls, SUMMER).refused
    assert reasons == {cow: "It was in Cows until 2025-10-01, after that day."}


def test_nobody_joins_a_group_before_birth(kettle_bench, cows) -> None:
    calf = register(kettle_bench, on=None, born_on=SUMMER, born_precision="day")
    reasons = judge_move(kettle_bench, [calf], cows, SPRING).refused
    assert reasons == {calf: "It was born on 2025-06-01, after that day."}


def test_a_group_with_animals_closes_only_with_where_they_go(kettle_bench, cows, culls) -> None:
    cow = register(kettle_bench, on=SPRING, group_id=cows)
    known = Group.objects.get(pk=cows)
    with pytest.raises(Refused, match="1 head is in Cows; say where they go"):
        groups.close_group(entry=entry(kettle_bench), group=known, on=SUMMER)
    groups.close_group(entry=entry(kettle_bench, title="closing"), group=known, on=SUMMER, into_id=culls)
    assert Group.objects.get(pk=cows).is_closed
    assert Animal.objects.get(pk=cow).group_id == culls
    with pytest.raises(Refused, match="That group is closed"):
        groups.move(entry=entry(kettle_bench), animal_ids=[cow], group_id=cows, on=FALL)
    assert undo(entry(kettle_bench), Changeset.objects.get(title="closing")).is_possible
    assert Animal.objects.get(pk=cow).group_id == cows
    assert not Group.objects.get(pk=cows).is_closed


def test_a_location_where_a_group_lies_stays_in_use(kettle_bench, cows, bench, creek) -> None:
    place = Location.objects.get(pk=bench)
    with pytest.raises(Refused, match="Cows lies there"):
        groups.retire_location(entry=entry(kettle_bench), location=place, is_retired=True)
    move_group(kettle_bench, cows, creek, SUMMER)
    groups.retire_location(entry=entry(kettle_bench), location=place, is_retired=True)
    assert Location.objects.get(pk=bench).is_retired
