"""When an animal is free after a treatment."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.withdrawal import free_from


def test_a_week_of_full_days_frees_the_day_after_it_has_run_out():
    # Date-only rule, computed: given on the 1st at 23:59 at the latest, seven full days run to the 8th.
    assert free_from(date(2026, 11, 1), 7) == date(2026, 11, 9)


def test_five_days_from_a_friday_free_on_thursday_where_the_hour_is_not_known():
    # With the hour known, Friday 09:00 + 5 days is Wednesday 09:00 (from memory); a date takes a day more.
    assert free_from(date(2026, 11, 20), 5) == date(2026, 11, 26)


def test_no_withdrawal_frees_the_same_day():
    assert free_from(date(2026, 11, 1), 0) == date(2026, 11, 1)


def test_a_leap_day_is_a_day():
    assert free_from(date(2028, 2, 28), 1) == date(2028, 3, 1)


def test_less_than_no_days_is_refused():
    with pytest.raises(ValueError, match="less than no days"):
        free_from(date(2026, 11, 1), -1)


@given(st.dates(max_value=date(2200, 1, 1)), st.integers(min_value=1, max_value=400))
def test_the_whole_withdrawal_has_always_run_out_on_the_first_free_day(given_on, days):
    assert (free_from(given_on, days) - given_on).days > days
