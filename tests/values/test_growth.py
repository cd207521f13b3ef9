"""Daily gain and weight per day of age."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from herd.values.growth import Weighed, gain_per_day, weight_per_day_of_age
from herd.values.mass import WeightUnit
from herd.values.policy import PUBLISHED

WEIGHTS = st.decimals(min_value=1, max_value=3000, places=1)
DAYS = st.dates(min_value=date(1990, 1, 1), max_value=date(2060, 1, 1))


@pytest.mark.parametrize(
    ("first", "last", "days", "printed"),
    [
        (Weighed(date(2001, 1, 1), 600), Weighed(date(2001, 9, 10), 1200), 252, "2.4"),
        (Weighed(date(2001, 2, 20), 80), Weighed(date(2001, 9, 10), 550), 202, "2.3"),
    ],
    ids=["ADG-1", "ADG-2"],
)
def test_gain_of_the_printed_examples(first, last, days, printed):
    gain = gain_per_day(first, last)  # a 4-H teaching sheet, days re-checked
    assert gain.rounded(1) == Decimal(printed)
    assert gain.parts[-1].amount == days


def test_adg_3_gain_of_a_pig_in_open_data():
    # geepack dietox, pig 4601 (Lauridsen et al. 1999, J. Anim. Sci. 77:906), weeks 1 to 12.
    start = date(2026, 1, 1)
    last = Weighed(start + timedelta(weeks=11), Decimal("98.59998"))
    gain = gain_per_day(Weighed(start, Decimal("26.5")), last, unit=WeightUnit.KG)
    assert (gain.rounded(5), gain.unit) == (Decimal("0.93636"), "kg a day")


@pytest.mark.parametrize(("weight", "age", "printed"), [(660, 209, "3.16"), (1200, 370, "3.24")], ids=["1", "2"])
def test_wda_weight_per_day_of_age_of_the_printed_examples(weight, age, printed):
    assert weight_per_day_of_age(weight, age).rounded(2) == Decimal(printed)  # public help pages, re-checked


def test_short_span_is_cautioned_because_of_fill():
    first, later = Weighed(date(2026, 5, 1), 700), Weighed(date(2026, 6, 29), 820)
    (caution,) = gain_per_day(first, later).cautions
    assert caution.code == "short_span"
    assert "Only 59 days lie between" in caution.text
    assert gain_per_day(first, replace(later, day=date(2026, 6, 30))).cautions == ()


def test_one_day_is_said_in_the_singular():
    (caution,) = gain_per_day(Weighed(date(2026, 5, 1), 700), Weighed(date(2026, 5, 2), 720)).cautions
    assert caution.text.startswith("Only one day lies between")


def test_limit_for_the_caution_is_the_outfit_s_own():
    own = replace(PUBLISHED, fill_caution=28)
    assert not gain_per_day(Weighed(date(2026, 5, 1), 700), Weighed(date(2026, 5, 29), 720), policy=own).cautions


def test_two_weighings_of_one_day_have_no_gain():
    with pytest.raises(ValueError, match="of one day"):
        gain_per_day(Weighed(date(2026, 5, 1), 700), Weighed(date(2026, 5, 1), 710))


@pytest.mark.parametrize("weight", [0, -5])
def test_weight_that_is_none_is_refused(weight):
    with pytest.raises(ValueError, match="The last weight has to be above zero"):
        gain_per_day(Weighed(date(2026, 5, 1), 700), Weighed(date(2026, 8, 1), weight))
    with pytest.raises(ValueError, match="The weight has to be above zero"):
        weight_per_day_of_age(weight, 200)


def test_age_of_no_days_is_refused():
    with pytest.raises(ValueError, match="The age in days has to be above zero"):
        weight_per_day_of_age(80, 0)


@given(DAYS, DAYS, WEIGHTS, WEIGHTS)
def test_gain_is_the_same_whichever_weighing_is_named_first(day, other_day, weight, other_weight):
    assume(day != other_day)
    one, other = Weighed(day, weight), Weighed(other_day, other_weight)
    assert gain_per_day(one, other) == gain_per_day(other, one)


@given(DAYS, WEIGHTS, WEIGHTS, st.integers(min_value=1, max_value=900))
def test_gain_times_days_is_the_weight_put_on_exactly(day, weight, other_weight, days):
    gain = gain_per_day(Weighed(day, weight), Weighed(day + timedelta(days=days), other_weight))
    assert gain.value * days == Fraction(other_weight) - Fraction(weight)
