"""Ages in days, months and years."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.ages import age_in_days, completed_months, completed_years


def test_dt_1_age_at_weaning_across_a_leap_day():
    assert age_in_days(date(1995, 11, 15), date(1996, 7, 1)) == 229  # Clemson Extension BC-1001


def test_two_years_and_eleven_months_are_two_completed_years():
    # Whole years taken as completed ones: the literal reading of the table, no source says so.
    born, calved = date(2020, 4, 1), date(2023, 3, 31)
    assert (completed_years(born, calved), completed_months(born, calved)) == (2, 35)
    assert completed_years(born, date(2023, 4, 1)) == 3


def test_month_begun_on_a_31st_is_complete_on_the_first_after_a_short_one():
    assert completed_months(date(2026, 1, 31), date(2026, 2, 28)) == 0
    assert completed_months(date(2026, 1, 31), date(2026, 3, 1)) == 1


def test_day_before_birth_is_refused():
    for age in (age_in_days, completed_months, completed_years):
        with pytest.raises(ValueError, match="before the birth"):
            age(date(2026, 3, 2), date(2026, 3, 1))


@given(st.dates(), st.dates(), st.dates())
def test_nobody_gets_younger(one, two, three):
    born, early, late = sorted((one, two, three))
    assert age_in_days(born, early) <= age_in_days(born, late)
    assert completed_months(born, early) <= completed_months(born, late)
