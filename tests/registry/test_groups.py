"""Groups: opened once per name, and each animal in one at a time."""

from datetime import date
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Group, GroupMembership
from herd.registry.queries.headcount import members_on
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, Leave, NewAnimal, NewEvent
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from tests.cast import entry, register

SPRING, SUMMER, FALL = date(2025, 3, 1), date(2025, 6, 1), date(2025, 10, 1)


@pytest.fixture
def trap(kettle_bench: Outfit) -> UUID:
    return groups.open_group(entry=entry(kettle_bench), name="Mill Trap", kind="pasture")


@pytest.fixture
def bench(kettle_bench: Outfit) -> UUID:
    return groups.open_group(entry=entry(kettle_bench), name="Upper Bench")


def stays(animal_id: UUID) -> list[tuple[str, date, date | None]]:
    rows = GroupMembership.objects.filter(animal=animal_id, is_void=False).select_related("group")
    return [(row.group.name, row.joined_on, row.left_on) for row in rows.order_by("joined_on", "left_on")]


def move(outfit: Outfit, animal_id: UUID, group_id: UUID, on: date) -> None:
    groups.move(entry=entry(outfit), animal_ids=[animal_id], group_id=group_id, on=on)


def test_a_move_closes_the_old_stay_on_the_day_the_new_one_opens(kettle_bench, trap, bench) -> None:
    cow = register(kettle_bench, group_id=trap, on=SPRING)
    move(kettle_bench, cow, bench, SUMMER)
    assert stays(cow) == [("Mill Trap", SPRING, SUMMER), ("Upper Bench", SUMMER, None)]
    assert Animal.objects.get(pk=cow).group_id == bench


def test_who_was_in_a_group_on_a_day(kettle_bench, trap, bench) -> None:
    cow = register(kettle_bench, group_id=trap, on=SPRING)
    move(kettle_bench, cow, bench, SUMMER)
    assert members_on(kettle_bench, trap, SPRING) == [cow]
    assert members_on(kettle_bench, trap, SUMMER) == []
    assert members_on(kettle_bench, bench, SUMMER) == [cow]


def test_a_move_into_the_same_group_changes_nothing(kettle_bench, trap, bench) -> None:
    stayer = register(kettle_bench, group_id=trap, on=SPRING)
    mover = register(kettle_bench, group_id=bench, on=SPRING)
    groups.move(entry=entry(kettle_bench), animal_ids=[stayer, mover], group_id=trap, on=SUMMER)
    assert stays(stayer) == [("Mill Trap", SPRING, None)]
    assert stays(mover) == [("Upper Bench", SPRING, SUMMER), ("Mill Trap", SUMMER, None)]


def test_a_move_dated_before_the_last_one_is_refused(kettle_bench, trap, bench) -> None:
    cow = register(kettle_bench, group_id=trap, on=SUMMER)
    with pytest.raises(Refused, match="It joined Mill Trap on 2025-06-01, after that day"):
        move(kettle_bench, cow, bench, SPRING)


def test_one_batch_may_move_an_animal_several_times(kettle_bench, trap, bench) -> None:
    calf = NewAnimal({"entry_class": "heifer", "entered_on": SPRING})
    batch = Batch(
        animals=[calf],
        joins=[Join(calf.id, bench, SUMMER), Join(calf.id, trap, SPRING)],
        leaves=[Leave(calf.id, FALL)],
    )
    write(entry(kettle_bench), batch)
    assert stays(calf.id) == [("Mill Trap", SPRING, SUMMER), ("Upper Bench", SUMMER, FALL)]


def test_an_animal_that_came_and_was_sold_in_one_batch_is_in_no_group(kettle_bench, trap) -> None:
    bull = NewAnimal({"entry_class": "bull", "entered_on": SPRING})
    sale = NewEvent(bull.id, "sale", FALL)
    write(entry(kettle_bench), Batch(animals=[bull], joins=[Join(bull.id, trap, SPRING)], events=[sale]))
    assert stays(bull.id) == [("Mill Trap", SPRING, FALL)]
    assert Animal.objects.get(pk=bull.id).status == "sold"


def test_a_group_name_is_taken_once(kettle_bench, trap, far_rim) -> None:
    with pytest.raises(Refused, match="a group called Mill Trap already"):
        groups.open_group(entry=entry(kettle_bench), name=" Mill Trap ")
    with pytest.raises(Refused, match="needs a name"):
        groups.open_group(entry=entry(kettle_bench), name="  ")
    groups.open_group(entry=entry(far_rim), name="Mill Trap")
    with pytest.raises(IntegrityError), transaction.atomic():
        Group.objects.create(outfit=kettle_bench, name="Mill Trap")


def test_the_database_refuses_two_open_stays(kettle_bench, trap, bench) -> None:
    cow = register(kettle_bench, group_id=trap, on=SPRING)
    with pytest.raises(IntegrityError), transaction.atomic():
        GroupMembership.objects.create(outfit=kettle_bench, animal_id=cow, group_id=bench, joined_on=SUMMER)


def test_the_database_refuses_a_stay_that_ends_before_it_began(kettle_bench, trap) -> None:
    cow = register(kettle_bench, group_id=trap, on=SUMMER)
    with pytest.raises(IntegrityError), transaction.atomic():
        GroupMembership.objects.filter(animal=cow).update(left_on=SPRING)
