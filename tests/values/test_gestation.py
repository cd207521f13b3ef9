"""Due dates and lengths of gestation."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.gestation import bred_on, due_from_check, due_from_season, due_from_service, gestation_length
from herd.values.policy import PUBLISHED

DAYS = st.dates(min_value=date(1990, 1, 1), max_value=date(2060, 1, 1))


def codes(result):
    return [caution.code for caution in result.cautions]


def test_dt_3_due_date():
    assert due_from_service(date(1995, 2, 10)).expected == date(1995, 11, 20)  # Clemson Extension BC-1001


def test_dt_4_breeding_date_across_a_leap_day():
    assert bred_on(date(1996, 3, 5)) == date(1995, 5, 27)  # Clemson Extension BC-1001


def test_dt_5_days_are_counted_as_plain_differences():
    # Computed; printed tables say 10 October because they count the day of service as day 1.
    assert due_from_service(date(2025, 1, 1)).expected == date(2025, 10, 11)


def test_usual_days_run_twelve_either_way():
    due = due_from_service(date(2026, 6, 1))  # Torell, University of Nevada Cooperative Extension
    assert (due.expected - due.earliest, due.latest - due.expected) == (timedelta(days=12), timedelta(days=12))
    assert "283 days" in due.formula
    assert due.cautions == ()


def test_breed_with_its_own_length_is_named_in_the_source():
    due = due_from_service(date(2026, 6, 1), breed="Brahman")
    assert (due.expected - date(2026, 6, 1)).days == 292  # Torell
    assert "Torell" in due.source
    assert "Beef Improvement Federation" in due_from_service(date(2026, 6, 1), breed="Longhorn").source


def test_outfit_s_own_length_is_used_and_said():
    own = replace(PUBLISHED, gestation=285)
    due = due_from_service(date(2026, 6, 1), policy=own)
    assert ((due.expected - date(2026, 6, 1)).days, due.source) == (285, "set by the outfit")


def test_days_bred_at_a_check_lead_back_to_conception():
    due = due_from_check(date(2026, 10, 1), 90)  # computed: conceived 3 July
    assert due.expected == due_from_service(date(2026, 7, 3)).expected
    assert codes(due) == ["estimate"]


def test_span_of_days_bred_gives_a_span_of_due_dates():
    due, fewest, most = (due_from_check(date(2026, 10, 1), days) for days in ((60, 90), 60, 90))
    assert (due.earliest, due.latest) == (most.earliest, fewest.latest)
    assert most.expected < due.expected < fewest.expected


@pytest.mark.parametrize("days", [0, -3, 306, (90, 60), (0, 90), (60, 400)])
def test_days_that_no_pregnancy_lasts_are_refused(days):
    with pytest.raises(ValueError, match="from 1 to 305, the fewest first"):
        due_from_check(date(2026, 10, 1), days)


def test_breeding_season_gives_the_whole_season_of_due_dates():
    due = due_from_season(date(2026, 6, 1), date(2026, 8, 1))
    first, last = due_from_service(date(2026, 6, 1)), due_from_service(date(2026, 8, 1))
    assert (due.earliest, due.latest) == (first.earliest, last.latest)
    assert first.expected < due.expected < last.expected
    assert codes(due) == ["whole_season"]


def test_season_that_runs_backwards_is_refused():
    with pytest.raises(ValueError, match="can't come out before he went in"):
        due_from_season(date(2026, 8, 1), date(2026, 6, 1))


@pytest.mark.parametrize(("days", "expected"), [(259, 1), (260, 0), (283, 0), (305, 0), (306, 1)])
def test_unusual_gestation_is_cautioned(days, expected):
    served = date(2026, 6, 1)
    figure = gestation_length(served, served + timedelta(days=days))
    assert (figure.value, len(figure.cautions)) == (days, expected)


def test_calving_before_the_service_is_refused():
    with pytest.raises(ValueError, match="before the service"):
        gestation_length(date(2026, 6, 1), date(2026, 5, 31))


@given(DAYS, st.sampled_from([None, "Angus", "Brahman", "Longhorn"]))
def test_due_date_leads_back_to_the_service(served, breed):
    assert bred_on(due_from_service(served, breed=breed).expected, breed=breed) == served


@given(DAYS, st.integers(min_value=1, max_value=305))
def test_check_on_any_day_comes_to_the_due_date_of_the_service(served, days):
    assert due_from_check(served + timedelta(days=days), days).expected == due_from_service(served).expected
