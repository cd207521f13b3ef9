"""The calvings of a season: what counts as one, the periods, the intervals, and the females without a calf."""

from datetime import date, timedelta

import pytest

from herd.registry.services import events, runs
from herd.registry.services.batch import NewEvent
from herd.reports.calving import AGAIN, FIRST, season_of
from herd.reports.calvinglate import EXPECTED, NO_WORD, OPEN, PAST_DUE, females_by_word
from herd.values.calvingperiods import calving_distribution, season_start
from herd.values.policy import Policy, StartRule
from tests.cast import entry, register

SINCE, UNTIL = date(2025, 1, 1), date(2025, 6, 30)
MARCH = date(2025, 3, 1)
DAY = timedelta(days=1)
THIRD = Policy(calving_start=StartRule.THIRD_CALF)


def record(outfit, animal, kind, on, precision="day", **data):
    events.record(entry=entry(outfit), events=[NewEvent(animal, kind, on, data, precision=precision)])


def calve(outfit, dam, on, **data):
    record(outfit, dam, "calving", on, **{"outcome": "live", **data})


def season(outfit):
    return season_of(outfit, SINCE, UNTIL)


def words(outfit):
    found = females_by_word(outfit, season(outfit))
    return {name: {one.animal_id for one in some} for name, some in found.items() if some}


def test_a_run_of_births_counts_each_calf_once(kettle_bench):
    cow = register(kettle_bench)
    births = [runs.Birth(cow, MARCH), runs.Birth(cow, MARCH), runs.Birth(register(kettle_bench), MARCH, is_alive=False)]
    runs.register_births(entry=entry(kettle_bench), births=births)
    assert sorted(one.calves for one in season(kettle_bench).calvings()) == [1, 2]


def test_a_calf_with_a_dam_is_a_calving_though_no_event_says_so(kettle_bench):
    cow, other = register(kettle_bench), register(kettle_bench)
    register(kettle_bench, animal_class="steer", on=MARCH, born_on=MARCH, born_precision="day", dam_id=cow)
    assert [(one.day, one.calves) for one in season(kettle_bench).calvings()] == [(MARCH, 1)]
    # Once an event of that day says it too, it still is one calf.
    calve(kettle_bench, cow, MARCH)
    calve(kettle_bench, other, MARCH)
    assert [one.calves for one in season(kettle_bench).calvings()] == [1, 1]


def test_a_calving_known_to_the_month_or_outside_the_days_counts_for_nothing(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "calving", MARCH, "month", outcome="live")
    calve(kettle_bench, cow, UNTIL + DAY)
    assert season(kettle_bench).calvings() == []


def test_calves_fall_into_periods_of_21_days_from_the_third_calf(kettle_bench):
    """Periods 1-21, 22-42, 43-63 and later, early ones in the first: University of Missouri Extension, Payne 2021."""
    third = MARCH + 3 * DAY
    days = [MARCH, MARCH + DAY, third, third + 20 * DAY, third + 21 * DAY, third + 42 * DAY, third + 63 * DAY]
    dams = [register(kettle_bench) for _ in days]
    for dam, day in zip(dams, days, strict=True):
        calve(kettle_bench, dam, day)
    found = season(kettle_bench)
    spread = calving_distribution(found.calvings(), season_start(found.calvings(), policy=THIRD), policy=THIRD)
    assert [one.calves for one in spread.periods] == [4, 1, 1, 1]
    behind = [[one.animal_id for one in found.in_period(spread, place)] for place in range(4)]
    assert behind == [dams[:4], dams[4:5], dams[5:6], dams[6:]]


@pytest.mark.parametrize(
    ("born", "precision", "years"),
    [
        (date(2022, 3, 1), "day", 3),
        (date(2022, 3, 2), "day", 2),
        (date(2022, 1, 1), "year", 2),
        (date(2022, 2, 1), "month", 3),
        (date(2022, 3, 1), "month", 2),
        (None, "unknown", None),
    ],
)
def test_a_dam_has_the_years_that_are_sure(kettle_bench, born, precision, years):
    cow = register(kettle_bench, born_on=born, born_precision=precision)
    calve(kettle_bench, cow, MARCH)
    assert [one.dam_years for one in season(kettle_bench).calvings()] == [years]


def test_the_interval_is_the_mean_of_each_cows_last(kettle_bench):
    """Later calving less earlier, in plain days: Clemson Extension BC-1001."""
    one, two, once = (register(kettle_bench, on=date(2020, 1, 1)) for _ in range(3))
    for dam, days in ((one, (0, 400, 760)), (two, (0, 380)), (once, (0,))):
        for before in days:
            calve(kettle_bench, dam, MARCH - before * DAY)
    found = season(kettle_bench)
    assert found.interval().value == (400 + 380) / 2
    assert [(noted.animal_id, noted.words) for noted in found.intervals()] == [(one, "400 days."), (two, "380 days.")]


def test_without_an_earlier_calving_there_is_no_interval(kettle_bench):
    calve(kettle_bench, register(kettle_bench), MARCH)
    assert season(kettle_bench).interval() is None


def test_first_calvings_stand_apart_from_those_of_cows_that_calved_before(kettle_bench):
    new, old = register(kettle_bench), register(kettle_bench)
    for dam, day in ((new, MARCH), (old, MARCH), (old, MARCH - 370 * DAY)):
        calve(kettle_bench, dam, day)
    assert set(season(kettle_bench).narrowed(FIRST).dams) == {new}
    assert set(season(kettle_bench).narrowed(AGAIN).dams) == {old}


def test_females_are_told_by_the_last_word_on_each(kettle_bench):
    empty, late, coming, silent, calved = (register(kettle_bench) for _ in range(5))
    heifer = register(kettle_bench, animal_class="heifer")
    record(kettle_bench, empty, "pregnancy_check", MARCH, result="open")
    record(kettle_bench, late, "service", UNTIL - 300 * DAY)
    record(kettle_bench, coming, "pregnancy_check", UNTIL, result="pregnant", days=100)
    calve(kettle_bench, calved, MARCH)
    assert words(kettle_bench) == {OPEN: {empty}, PAST_DUE: {late}, EXPECTED: {coming}, NO_WORD: {silent}}
    record(kettle_bench, heifer, "pregnancy_check", UNTIL, result="pregnant")
    assert words(kettle_bench)[EXPECTED] == {coming, heifer}


def test_a_service_after_an_open_check_and_a_calving_after_a_service_end_the_word(kettle_bench):
    again, calved = register(kettle_bench), register(kettle_bench)
    record(kettle_bench, again, "pregnancy_check", MARCH, result="open")
    record(kettle_bench, again, "service", MARCH + DAY)
    record(kettle_bench, calved, "service", UNTIL - 300 * DAY)
    calve(kettle_bench, calved, UNTIL - 20 * DAY)
    assert words(kettle_bench) == {EXPECTED: {again}}


def test_a_female_that_left_is_not_waited_for(kettle_bench):
    cow = register(kettle_bench)
    record(kettle_bench, cow, "service", UNTIL - 300 * DAY)
    record(kettle_bench, cow, "sale", UNTIL)
    assert words(kettle_bench) == {}


def test_another_outfits_calvings_are_not_here_and_six_queries_are_enough(
    kettle_bench, far_rim, django_assert_num_queries
):
    calve(far_rim, register(far_rim), MARCH)
    for _ in range(4):
        calve(kettle_bench, register(kettle_bench), MARCH)
    with django_assert_num_queries(6):
        found = season(kettle_bench)
        females_by_word(kettle_bench, found)
    assert len(found.dams) == 4
