"""The policy's values one by one: typed, read back, said, put together, and in force on a day."""

from dataclasses import fields
from datetime import date
from decimal import Decimal

import pytest

from herd.values.policy import PUBLISHED, BreedValue, DamAge, DayWindow, Policy, StartRule
from herd.values.policyhistory import PolicyChange, PolicyHistory
from herd.values.policyshapes import write_value
from herd.values.policyvalues import POLICY_VALUES, policy_with, read_value, say_value
from herd.values.problems import Unreadable


def day(text):
    return date.fromisoformat(text)


def test_every_value_that_a_page_asks_for_can_be_set_and_none_beside():
    # The day in force is no value, and no page reckons in animal units.
    assert {one.name for one in fields(Policy)} - set(POLICY_VALUES) == {"in_force_from", "animal_unit"}
    assert set(POLICY_VALUES) <= {one.name for one in fields(Policy)}


@pytest.mark.parametrize("name", [name for name, one in POLICY_VALUES.items() if one.published is not None])
def test_published_value_is_typed_and_read_back_as_it_is(name):
    published = POLICY_VALUES[name].published
    assert read_value(name, write_value(published)) == published
    assert say_value(name, published)


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("weaning_window", "120-280", DayWindow(120, 280)),
        ("weaning_window", " 120 – 280 ", DayWindow(120, 280)),
        ("gestation", "285", 285),
        ("standard_birth_weight", "82,5", Decimal("82.5")),
        ("calving_start", "third_calf", StartRule.THIRD_CALF),
        ("adjusts_without_dam_age", "yes", True),
        ("gestation_by_breed", "", ()),
        ("scrotal_factors", "Red Angus  0.03", (BreedValue("Red Angus", Decimal("0.03")),)),
        ("dam_ages", "2, 8, 60, 54\n5 0 0 0", (DamAge(24, 8, 60, 54), DamAge(60, 0, 0, 0))),
        ("dam_ages", "2.5, 7, 50, 45", (DamAge(30, 7, 50, 45),)),
    ],
)
def test_what_is_typed_is_read(name, text, value):
    assert read_value(name, text) == value


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("weaning_window", "160", "write it as 160 to 250"),
        ("weaning_window", "250 to 160", "runs backwards"),
        ("weaning_window", "0 to 250", "outside 30 to 400"),
        ("gestation", "28e", "is not a number"),
        ("gestation", "283.5", "has to be a whole number"),
        ("gestation", "28", "outside 240 to 320"),
        ("gestation", "", "A value is needed"),
        ("identification_retention_years", "4", "outside 5 to 50"),
        ("treatment_retention_years", "1", "outside 2 to 50"),
        ("calving_start", "tide", "is none of"),
        ("scrotal_factors", "0.03", "Line 1"),
        ("scrotal_factors", "Angus 0.03\nangus 0.04", "two lines"),
        ("gestation_by_breed", "Angus 281\nJersey twelve", "Line 2"),
        ("dam_ages", "2, 8, 60", "four numbers"),
        ("dam_ages", "5, 0, 0, 0\n2, 8, 60, 54", "have to rise"),
        ("dam_ages", "2.3, 0, 0, 0", "whole months"),
        ("dam_ages", "", "A value is needed"),
    ],
)
def test_what_can_not_be_meant_is_refused_in_words(name, text, sentence):
    with pytest.raises(Unreadable) as refused:
        read_value(name, text)
    assert sentence in refused.value.reason


def test_values_that_do_not_go_together_are_refused():
    with pytest.raises(ValueError, match="outside its own limits"):
        policy_with({"gestation_limits": DayWindow(200, 270)})


def test_history_without_changes_is_the_published_policy():
    assert PolicyHistory().on(day("2026-01-01")).policy is PUBLISHED


def test_the_latest_change_up_to_a_day_is_in_force_and_the_others_are_not():
    history = PolicyHistory(
        [
            PolicyChange("gestation", day("2026-03-01"), "285"),
            PolicyChange("gestation", day("2025-03-01"), "284"),
            PolicyChange("birth_window", day("2025-06-01"), "60"),
            PolicyChange("gestation", day("2026-09-01"), None),
        ]
    )
    days = ("2025-02-28", "2025-03-01", "2025-07-01", "2026-03-01", "2027-01-01")
    found = {text: history.on(day(text)) for text in days}
    assert [one.policy.gestation for one in found.values()] == [283, 284, 284, 285, 283]
    assert [one.policy.birth_window for one in found.values()] == [90, 90, 60, 60, 60]
    assert found["2026-03-01"].since == {"birth_window": day("2025-06-01"), "gestation": day("2026-03-01")}
    assert found["2026-03-01"].policy.source_of("gestation") == "set by the outfit"
    assert found["2027-01-01"].since == {"birth_window": day("2025-06-01")}
    assert found["2027-01-01"].policy.in_force_from == day("2026-09-01")


def test_own_value_that_is_the_published_one_is_still_own():
    history = PolicyHistory([PolicyChange("gestation", day("2026-03-01"), "283")])
    assert history.on(day("2026-03-01")).own(["gestation", "birth_window"]) == {"gestation": 283}


def test_value_that_no_longer_goes_with_the_others_is_passed_over_and_named():
    # As where limits that once let a longer gestation in were taken back.
    history = PolicyHistory(
        [PolicyChange("gestation", day("2026-03-01"), "310"), PolicyChange("birth_window", day("2026-03-01"), "60")]
    )
    found = history.on(day("2026-04-01"))
    assert (found.policy.gestation, found.policy.birth_window) == (283, 60)
    assert found.passed_over == ("gestation",)


def test_key_of_another_time_is_passed_over():
    history = PolicyHistory([PolicyChange("tides", day("2026-03-01"), "3")])
    assert history.on(day("2026-04-01")).passed_over == ("tides",)
