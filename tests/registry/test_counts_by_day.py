"""Head counts of past days: what a count said on a day is what it says of that day for ever."""

from collections.abc import Callable
from datetime import date, timedelta
from uuid import UUID

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Group, Location
from herd.registry.queries.headcount import HeadCount, count_head, count_head_on, count_places_on
from herd.registry.services import groups
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent
from herd.registry.services.writer import write
from herd.values.identity import new_id
from tests.cast import entry, register

FIRST = date(2024, 3, 1)
SPRING, SUMMER, FALL = date(2025, 3, 1), date(2025, 6, 1), date(2025, 10, 1)


def told(count: HeadCount) -> dict:
    """A count as plain words, without groups and classes that hold nobody."""
    heads = {str(one.group): one.by_class for one in count.groups if one.total}
    return {"all": count.total, "by_class": count.by_class, "groups": heads, "away": count.away}


def event(outfit: Outfit, animal: UUID, kind: str, on: date, **data: str) -> None:
    write(entry(outfit), Batch(events=[NewEvent(animal, kind, on, data)]))


def test_class_status_and_group_are_those_of_the_day(kettle_bench) -> None:
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    bull = register(kettle_bench, animal_class="bull", on=SPRING, group_id=trap)
    heifer = register(kettle_bench, animal_class="heifer", on=SPRING)
    event(kettle_bench, bull, "castration", SUMMER)
    event(kettle_bench, heifer, "calving", SUMMER, outcome="live")
    event(kettle_bench, bull, "sale", FALL)
    day_before = timedelta(days=1)
    assert told(count_head_on(kettle_bench, SPRING - day_before))["all"] == 0
    assert told(count_head_on(kettle_bench, SUMMER - day_before)) == {
        "all": 2,
        "by_class": {"bull": 1, "heifer": 1},
        "groups": {"Mill Trap": {"bull": 1}, "None": {"heifer": 1}},
        "away": {},
    }
    assert told(count_head_on(kettle_bench, FALL - day_before))["by_class"] == {"steer": 1, "cow": 1}
    assert told(count_head_on(kettle_bench, FALL))["away"] == {"sold": 1}


def test_a_calf_of_that_day_is_counted_as_one(kettle_bench) -> None:
    register(kettle_bench, animal_class="heifer", on=SPRING, born_on=SPRING, born_precision="day")
    assert count_head_on(kettle_bench, SPRING - timedelta(days=1)).total == 0
    assert count_head_on(kettle_bench, FALL).by_class == {"calf": 1}
    assert count_head_on(kettle_bench, SPRING + timedelta(days=365)).by_class == {"heifer": 1}


def test_a_group_closed_since_shows_on_days_when_it_held_animals(kettle_bench) -> None:
    pen = groups.open_group(entry=entry(kettle_bench), name="Weaning Pen")
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    register(kettle_bench, on=SPRING, group_id=pen)
    groups.close_group(entry=entry(kettle_bench), group=Group.objects.get(pk=pen), on=SUMMER, into_id=trap)
    assert [str(one.group) for one in count_head_on(kettle_bench, SPRING).groups] == ["Mill Trap", "Weaning Pen"]
    assert [str(one.group) for one in count_head_on(kettle_bench, SUMMER).groups] == ["Mill Trap"]


def test_a_group_that_moved_counts_at_its_old_place_before(kettle_bench) -> None:
    bench = groups.open_location(entry=entry(kettle_bench), name="Bench")
    creek = groups.open_location(entry=entry(kettle_bench), name="Creek")
    herd = groups.open_group(entry=entry(kettle_bench), name="Herd", location_id=bench)
    register(kettle_bench, on=SPRING, group_id=herd)
    place = Location.objects.get(pk=creek)
    groups.move_to_location(entry=entry(kettle_bench), group=Group.objects.get(pk=herd), location=place, on=SUMMER)
    later = register(kettle_bench, on=FALL, group_id=herd)
    heads = {day: {k: v.total for k, v in count_places_on(kettle_bench, day).items()} for day in (SPRING, SUMMER, FALL)}
    assert heads == {SPRING: {bench: 1}, SUMMER: {creek: 1}, FALL: {creek: 2}}
    assert Group.objects.get(pk=herd).animals.get(pk=later).location_id == creek


def test_another_outfits_animals_are_not_counted(kettle_bench, far_rim) -> None:
    register(far_rim, on=SPRING)
    assert told(count_head_on(kettle_bench, FALL))["all"] == 0


Step = Callable[[Outfit, list[UUID], list[UUID], date], Batch]


def _born(_: Outfit, animals: list[UUID], pens: list[UUID], on: date) -> Batch:
    calf = NewAnimal({"entry_class": "bull", "born_on": on, "born_precision": "day", "entered_on": on})
    animals.append(calf.id)
    return Batch(animals=[calf], joins=[Join(calf.id, pens[0], on)])


def _bought(_: Outfit, animals: list[UUID], pens: list[UUID], on: date) -> Batch:
    heifer = NewAnimal({"entry_class": "heifer", "entered_on": on})
    animals.append(heifer.id)
    return Batch(animals=[heifer])


def _event(kind: str) -> Step:
    return lambda _, animals, __, on: Batch(events=[NewEvent(animals[on.toordinal() % len(animals)], kind, on)])


def _calved(_: Outfit, animals: list[UUID], pens: list[UUID], on: date) -> Batch:
    """The first one is a heifer; among the others are bulls."""
    return Batch(events=[NewEvent(animals[0], "calving", on)])


def _moved(outfit: Outfit, animals: list[UUID], pens: list[UUID], on: date) -> Batch:
    one = animals[on.toordinal() % len(animals)]
    is_on_hand = Animal.objects.get(pk=one).is_on_hand
    return Batch(joins=[Join(one, pens[on.toordinal() % 2], on)] if is_on_hand else [])


STEPS: dict[str, Step] = {
    "born": _born,
    "bought": _bought,
    "moved": _moved,
    "calved": _calved,
    **{kind: _event(kind) for kind in ("sale", "death", "missing", "found", "castration")},
}


@pytest.mark.django_db
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(st.tuples(st.sampled_from(sorted(STEPS)), st.integers(1, 200)), min_size=1, max_size=12),
)
def test_a_past_day_is_counted_as_it_was_when_nothing_later_was_known(db, steps) -> None:
    """Each step is written in the order of its days, and what was counted then must come out again at the end."""
    outfit = Outfit.objects.create(code=str(new_id()), name="Any")
    pens = [groups.open_group(entry=entry(outfit), name=name) for name in ("North", "South")]
    animals = [register(outfit, animal_class="heifer", on=FIRST, group_id=pens[0])]
    day, noted = FIRST, {FIRST: told(count_head(outfit, FIRST))}
    for name, days in steps:
        day += timedelta(days=days)
        if day > date(2026, 6, 1):
            break
        write(entry(outfit), STEPS[name](outfit, animals, pens, day))
        noted[day] = told(count_head(outfit, day))
    assert {day: told(count_head_on(outfit, day)) for day in noted} == noted
