"""Values that people differ on: their defaults, their sources, and an outfit's own."""

from dataclasses import FrozenInstanceError, fields, replace
from datetime import date

import pytest

from herd.values.policy import PUBLISHED, DayWindow, Policy, StartRule, value_for


def test_every_value_names_its_source():
    assert all(PUBLISHED.source_of(one.name) for one in fields(Policy))


def test_value_of_an_outfit_is_said_to_be_its_own():
    own = replace(PUBLISHED, calving_start_after=285, in_force_from=date(2026, 1, 1))
    assert own.source_of("calving_start_after") == "set by the outfit"
    assert "Missouri" in PUBLISHED.source_of("calving_start_after")
    assert own.source_of("gestation") == PUBLISHED.source_of("gestation")


def test_published_values_stay_as_they_are():
    with pytest.raises(FrozenInstanceError):
        PUBLISHED.gestation = 290


def test_windows_of_the_guidelines():
    # Beef Improvement Federation guidelines, Weaning Weight and Yearling Weight.
    assert (PUBLISHED.weaning_window, PUBLISHED.yearling_window) == (DayWindow(160, 250), DayWindow(320, 410))
    assert [PUBLISHED.weaning_window.place_of(days) for days in (159, 160, 250, 251)] == [
        "below",
        "inside",
        "inside",
        "above",
    ]


@pytest.mark.parametrize(
    ("breed", "days"),
    [("Jersey", 279), ("angus ", 281), ("Shorthorn", 282), ("HEREFORD", 285), ("Brahman", 292), ("", 283), (None, 283)],
)
def test_gestation_goes_by_breed_where_one_is_listed(breed, days):
    assert PUBLISHED.gestation_of(breed) == days  # Torell, Nevada; Beef Improvement Federation for the rest


def test_records_are_kept_five_years():
    # 9 CFR 86.3 for identification; two years by law for treatments, five to be safe.
    assert PUBLISHED.identification_retention_years == PUBLISHED.treatment_retention_years == 5


def test_unlisted_breed_has_no_value():
    assert value_for(PUBLISHED.scrotal_factors, "Longhorn") is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"gestation": 200}, "outside its own limits"),
        ({"weaning_window": DayWindow(0, 250)}, "begin after the day of birth"),
        ({"calving_period": 0}, "above zero: calving period"),
        ({"dam_ages": ()}, "ages of dams have to rise"),
        ({"dam_ages": PUBLISHED.dam_ages[::-1]}, "ages of dams have to rise"),
        ({"standard_birth_weight": 0}, "standard birth weight has to be above zero"),
    ],
)
def test_values_that_cannot_be_worked_with_are_refused(change, sentence):
    with pytest.raises(ValueError, match=sentence):
        replace(PUBLISHED, **change)


def test_window_that_runs_backwards_is_refused():
    with pytest.raises(ValueError, match="from 250 to 160 days"):
        DayWindow(250, 160)


def test_unknown_value_has_no_source():
    with pytest.raises(ValueError, match="no value called tides"):
        PUBLISHED.source_of("tides")


def test_start_rules_are_words_that_can_be_stored():
    assert StartRule("third_calf") is StartRule.THIRD_CALF
