"""When an animal is free after a treatment, and what the label asks of the one who gives it."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.withdrawal import (
    UNKNOWN_DAYS,
    free_at,
    free_from,
    label_faults,
    latest_end,
    withdrawal_of,
)

DENVER = ZoneInfo("America/Denver")


def moment(*parts):
    return datetime(*parts, tzinfo=DENVER)


EVENING = moment(2025, 3, 7, 18)


def held(on=date(2025, 3, 7), precision="day", at=None, recorded_at=EVENING, **data):
    return withdrawal_of(
        {"product": "penicillin", **data}, on=on, precision=precision, at=at, recorded_at=recorded_at
    )


def test_a_week_of_full_days_frees_the_day_after_it_has_run_out():
    # Date-only rule, computed: given on the 1st at 23:59 at the latest, seven full days run to the 8th.
    assert free_from(date(2026, 11, 1), 7) == date(2026, 11, 9)


def test_five_days_from_a_friday_free_on_thursday_where_the_hour_is_not_known():
    # With the hour known, Friday 09:00 + 5 days is Wednesday 09:00 (from memory); a date takes a day more.
    assert free_from(date(2026, 11, 20), 5) == date(2026, 11, 26)


@pytest.mark.parametrize(
    ("last_dose", "days", "free"),
    [
        # Each withdrawal day is a full 24 hours from the last dose (FAAST Reviews, amstewardship.ca; the example
        # from memory): Friday 09:00 + 5 days is Wednesday 09:00. The change to summer time falls in between,
        # so that the clock shows an hour more after the same 120 hours.
        (datetime(2025, 3, 7, 9, tzinfo=UTC), 5, datetime(2025, 3, 12, 9, tzinfo=UTC)),
        (datetime(2025, 3, 7, 15, 30, tzinfo=UTC), 28, datetime(2025, 4, 4, 15, 30, tzinfo=UTC)),
        (moment(2025, 3, 7, 9), 5, moment(2025, 3, 12, 10)),
        (moment(2025, 6, 6, 9), 0, moment(2025, 6, 6, 9)),
    ],
)
def test_with_the_hour_known_it_ends_after_days_of_24_hours(last_dose, days, free):
    assert free_at(last_dose, days) == free


def test_no_withdrawal_frees_the_same_day():
    assert free_from(date(2026, 11, 1), 0) == date(2026, 11, 1)


def test_a_leap_day_is_a_day():
    assert free_from(date(2028, 2, 28), 1) == date(2028, 3, 1)


@pytest.mark.parametrize(("count", "last"), [(free_from, date(2026, 11, 1)), (free_at, moment(2026, 11, 1, 9))])
def test_less_than_no_days_is_refused(count, last):
    with pytest.raises(ValueError, match="less than no days"):
        count(last, -1)


def test_a_moment_without_a_time_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        free_at(datetime(2026, 11, 1, 9), 5)  # noqa: DTZ001


@given(st.dates(max_value=date(2200, 1, 1)), st.integers(min_value=1, max_value=400))
def test_the_whole_withdrawal_has_always_run_out_on_the_first_free_day(given_on, days):
    assert (free_from(given_on, days) - given_on).days > days


@given(st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1)), st.integers(min_value=1, max_value=400))  # noqa: DTZ001
def test_a_day_alone_never_frees_earlier_than_any_hour_of_it(naive, days):
    at = naive.replace(tzinfo=UTC)
    assert datetime.combine(free_from(at.date(), days), datetime.min.time(), UTC) > free_at(at, days)


def test_with_the_hour_known_the_animal_is_free_from_that_minute_on():
    one = held(at=moment(2025, 3, 7, 9), withdrawal_days=4)
    # 96 hours of which one is lost to summer time on March 9.
    assert one.free_at == moment(2025, 3, 11, 10)
    assert one.holds_at(moment(2025, 3, 11, 9, 59))
    assert not one.holds_at(moment(2025, 3, 11, 10))


def test_a_day_of_which_the_hour_is_not_known_still_holds_where_it_ends_on_it():
    one = held(at=moment(2025, 3, 7, 9), withdrawal_days=4)
    assert one.holds_on(date(2025, 3, 11))
    assert not one.holds_on(date(2025, 3, 12))


def test_what_ends_at_midnight_frees_the_day_that_begins():
    assert held(date(2025, 6, 6), at=moment(2025, 6, 6, 0), withdrawal_days=4).free_on == date(2025, 6, 10)


def test_an_animal_was_not_held_before_it_was_given_anything():
    assert not held(withdrawal_days=28).holds_on(date(2025, 3, 6))


def test_a_course_counts_from_its_last_dose():
    # FDA Compliance Policy Guide 615.200: withdrawal is the time following the last treatment.
    one = held(withdrawal_days=5, last_on="2025-03-10", last_at="2025-03-10T09:00:00-06:00")
    assert (one.last_on, one.free_at) == (date(2025, 3, 10), moment(2025, 3, 15, 9))
    assert one.holds_on(date(2025, 3, 7))


def test_a_course_whose_last_hour_is_not_known_takes_the_whole_day_whatever_the_first_hour_was():
    one = held(at=moment(2025, 3, 7, 9), withdrawal_days=5, last_on="2025-03-10")
    assert (one.free_at, one.free_on) == (None, date(2025, 3, 16))


def test_no_days_hold_nobody():
    assert not held(withdrawal_days=0).holds_on(date(2025, 3, 7))
    assert not held(at=moment(2025, 3, 7, 9), withdrawal_days=0).holds_at(moment(2025, 3, 7, 9))


@pytest.mark.parametrize("days", [{}, {"withdrawal_days": None}, {"withdrawal_days": "28"}, {"withdrawal_days": -1}])
def test_days_that_are_not_known_are_never_taken_for_none(days):
    one = held(**days)
    assert (one.days, one.free_on) == (None, None)
    assert one.holds_on(date(2025, 3, 7) + timedelta(days=UNKNOWN_DAYS))
    assert not one.holds_on(date(2025, 3, 7) + timedelta(days=UNKNOWN_DAYS + 1))


@pytest.mark.parametrize(
    ("on", "precision", "recorded_at", "free"),
    [
        (date(2025, 3, 1), "month", moment(2025, 6, 1, 8), date(2025, 4, 11)),
        (date(2025, 3, 1), "month", moment(2025, 3, 9, 8), date(2025, 3, 20)),
        (date(2025, 1, 1), "year", moment(2026, 6, 1, 8), date(2026, 1, 11)),
        (None, "unknown", moment(2025, 3, 9, 8), date(2025, 3, 20)),
    ],
)
def test_a_day_not_known_in_full_is_taken_as_late_as_it_can_have_been(on, precision, recorded_at, free):
    # Computed: the last day of the month or year, but none after it was written down, and 10 days on.
    assert held(on, precision, recorded_at=recorded_at, withdrawal_days=10).free_on == free


def test_of_several_the_latest_end_counts_and_what_is_not_known_outlasts_all():
    short, long, unknown = held(withdrawal_days=5), held(withdrawal_days=28), held()
    timed = held(at=moment(2025, 3, 7, 9), withdrawal_days=28)
    assert latest_end([short, long]) is long
    assert latest_end([short, timed]) is timed
    assert latest_end([long, unknown, short]) is unknown
    assert latest_end([]) is None


@pytest.mark.parametrize(
    ("data", "label_days", "needs_prescription", "fields"),
    [
        # FDA 21 CFR 530.3 and Compliance Policy Guide 615.200: only a veterinarian may order a use other than
        # the label's, or a shorter withdrawal.
        ({"withdrawal_days": 28}, 28, False, []),
        ({"withdrawal_days": 40}, 28, False, []),
        ({"withdrawal_days": 27}, 28, False, ["withdrawal_days"]),
        ({"withdrawal_days": 0}, 28, False, ["withdrawal_days"]),
        ({"withdrawal_days": 27, "veterinarian": "Dr. Ode"}, 28, False, []),
        ({"withdrawal_days": 27, "veterinarian": " "}, 28, False, ["withdrawal_days"]),
        ({"withdrawal_days": 3}, None, False, []),
        ({}, 28, False, []),
        ({"use": "extra-label", "withdrawal_days": 60}, 28, False, ["veterinarian"]),
        ({"use": "extra-label", "veterinarian": "Dr. Ode"}, 28, False, []),
        ({"withdrawal_days": 28}, 28, True, ["veterinarian"]),
        ({"withdrawal_days": 28, "veterinarian": "Dr. Ode"}, 28, True, []),
    ],
)
def test_what_the_label_asks_for(data, label_days, needs_prescription, fields):
    faults = label_faults(data, label_days, needs_prescription=needs_prescription)
    assert [field for field, _ in faults] == fields
