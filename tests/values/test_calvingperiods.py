"""Calvings by period of 21 days."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.calvingperiods import Calving, Start, calving_distribution, season_start
from herd.values.policy import PUBLISHED, StartRule

DAY_1 = date(2026, 3, 1)
START = Start(DAY_1, StartRule.BREEDING, "")
THIRD_CALF = replace(PUBLISHED, calving_start=StartRule.THIRD_CALF)
THIRD_COW = replace(PUBLISHED, calving_start=StartRule.THIRD_MATURE_COW)


def on_day(number, calves=1, dam_years=None):
    """A calving on a day of the season, counted from 1."""
    return Calving(DAY_1 + timedelta(days=number - 1), calves, dam_years)


def counts(*calvings):
    return [period.calves for period in calving_distribution(calvings, START).periods]


def test_periods_run_from_1_to_21_and_so_on_with_the_late_ones_last():
    # University of Missouri Extension, Payne 2021.
    periods = calving_distribution([on_day(1)], START).periods
    assert [(period.first, period.last) for period in periods] == [(1, 21), (22, 42), (43, 63), (64, None)]
    assert counts(*(on_day(day) for day in (1, 21, 22, 42, 43, 63, 64, 300))) == [2, 2, 2, 2]


def test_cd_1_herd_of_the_published_example():
    # University of Missouri Extension: 28 % on days 22-42, 6 % on 43-63, none later; 66 % by difference.
    calvings = [on_day(5)] * 66 + [on_day(30)] * 28 + [on_day(50)] * 6
    found = calving_distribution(calvings, START)
    assert [period.share for period in found.periods] == [66, 28, 6, 0]
    assert found.cautions == ()  # the goal is 65 % (University of Nebraska-Lincoln)


def test_calves_before_the_start_count_in_the_first_period_and_are_said():
    found = calving_distribution([on_day(-9), on_day(0), on_day(1)], START)
    assert (found.periods[0].calves, found.early) == (3, 2)
    assert found.cautions[0].text == "2 calves were born before the first period and counted in it."


def test_season_below_the_goal_is_said():
    found = calving_distribution([on_day(5)] * 64 + [on_day(30)] * 36, START)
    assert [caution.code for caution in found.cautions] == ["below_goal"]


def test_twins_are_two_calves():
    assert counts(on_day(5, calves=2), on_day(25)) == [2, 1, 0, 0]


@pytest.mark.parametrize(("days", "start"), [(283, date(2026, 3, 11)), (285, date(2026, 3, 13))])
def test_season_starts_a_gestation_after_breeding_began(days, start):
    # 283 days: University of Missouri Extension; 285: University of Nebraska-Lincoln. Dates computed.
    policy = replace(PUBLISHED, calving_start_after=days)
    found = season_start([], breeding_from=date(2025, 6, 1), policy=policy)
    assert (found.day, found.words) == (start, f"{days} days after breeding began")


def test_season_starts_with_the_third_calf():
    calvings = [on_day(9), on_day(1), on_day(4, calves=2)]  # University of Missouri Extension
    assert season_start(calvings, policy=THIRD_CALF).day == DAY_1 + timedelta(days=3)


def test_season_starts_with_the_third_mature_cow():
    # Third cow of three years or more: University of Nebraska-Lincoln.
    calvings = [on_day(1, dam_years=2), on_day(2), *(on_day(day, dam_years=3) for day in (12, 3, 7))]
    assert season_start(calvings, policy=THIRD_COW).day == DAY_1 + timedelta(days=11)


def test_start_that_cannot_be_told_is_refused():
    with pytest.raises(ValueError, match="Say on which day breeding began"):
        season_start([on_day(1)])
    with pytest.raises(ValueError, match="only 2 calves born"):
        season_start([on_day(1)] * 2, policy=THIRD_CALF)
    with pytest.raises(ValueError, match="only 0 cows of 3 years or more"):
        season_start([on_day(1)] * 5, policy=THIRD_COW)


def test_season_without_a_calf_is_refused():
    with pytest.raises(ValueError, match="No calf was born"):
        calving_distribution([], START)


@given(
    st.lists(st.tuples(st.integers(min_value=-60, max_value=400), st.integers(min_value=1, max_value=3)), min_size=1),
    st.integers(min_value=1, max_value=60),
    st.integers(min_value=1, max_value=8),
)
def test_periods_partition_the_season(born, length, many):
    calvings = [on_day(day, calves) for day, calves in born]
    policy = replace(PUBLISHED, calving_period=length, calving_periods=many)
    found = calving_distribution(calvings, START, policy=policy)
    assert sum(period.calves for period in found.periods) == found.calves == sum(calves for _, calves in born)
    assert sum((period.share for period in found.periods), Fraction(0)) == 100
    for period in found.periods:
        first = date.min if period.first == 1 else period.starts_on
        end = period.starts_on + timedelta(days=length) if period.last else date.max
        assert period.calves == sum(one.calves for one in calvings if first <= one.day < end)
