"""Head-days and the gain of a group."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.headdays import Stint, gain_deads_in, gain_deads_out, head_days, mean_head

IN = date(2026, 1, 1)


def stint(days, weight_in=700, weight_out=1300, **more):
    return Stint(IN, IN + timedelta(days=days), weight_in, weight_out, **more)


# HD-1: computed, on definitions from memory. 100 head in at 700 lb; 2 die on day 50; 98 out at 1,300 on day 170.
PEN = [stint(170)] * 98 + [stint(50, weight_out=None, has_died=True)] * 2


def test_hd_1_head_days():
    assert head_days(PEN) == 16_760


def test_hd_1_gain_with_the_dead_in_and_out():
    assert gain_deads_in(PEN).rounded(3) == Decimal("3.425")
    assert gain_deads_out(PEN).rounded(3) == Decimal("3.529")
    assert [part.amount for part in gain_deads_in(PEN).parts] == [70_000, 127_400, 16_760, 2]


def test_group_without_deaths_gains_the_same_either_way():
    pen = [stint(170), stint(150, weight_out=1250)]
    assert gain_deads_in(pen).value == gain_deads_out(pen).value
    assert gain_deads_in(pen).cautions == ()
    assert [caution.code for caution in gain_deads_in(PEN).cautions] == ["says_which"]


def test_day_in_counts_and_day_out_does_not():
    one = stint(2)
    assert [one.is_present(IN + timedelta(days=day)) for day in (-1, 0, 1, 2)] == [False, True, True, False]


def test_missing_weight_is_said_and_not_guessed():
    with pytest.raises(ValueError, match="1 head have no weight out"):
        gain_deads_out([stint(170), stint(170, weight_out=None)])
    with pytest.raises(ValueError, match="2 head have no weight in"):
        gain_deads_in([stint(170, weight_in=None)] * 2)


@pytest.mark.parametrize("pen", [[], [stint(0)], [stint(5, weight_out=None, has_died=True)]])
def test_pen_without_head_days_has_no_gain(pen):
    with pytest.raises(ValueError, match="no head-days"):
        gain_deads_out(pen)


def test_leaving_before_coming_is_refused():
    with pytest.raises(ValueError, match="Nobody leaves on 2025-12-31"):
        stint(-1)


def test_mean_head_counts_only_the_days_asked_for():
    # Computed: three head, one of them there for two of the four days.
    pen = [stint(100), stint(100), stint(2)]
    assert mean_head(pen, IN, IN + timedelta(days=3)) == Decimal("2.5")
    with pytest.raises(ValueError, match="before the first"):
        mean_head(pen, IN, IN - timedelta(days=1))


SPANS = st.lists(st.tuples(st.integers(min_value=0, max_value=60), st.integers(min_value=0, max_value=60)))


@given(SPANS, st.integers(min_value=-10, max_value=70), st.integers(min_value=0, max_value=80))
def test_head_days_are_the_sum_of_daily_counts(spans, start, length):
    pen = [Stint(IN + timedelta(days=came), IN + timedelta(days=came + days)) for came, days in spans]

    def counted(first, last):
        every = (IN + timedelta(days=day) for day in range(first, last + 1))
        return sum(one.is_present(day) for day in every for one in pen)

    assert head_days(pen) == counted(0, 130)
    mean = mean_head(pen, IN + timedelta(days=start), IN + timedelta(days=start + length))
    assert mean * (length + 1) == counted(start, start + length)
