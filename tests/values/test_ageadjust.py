"""Adjusted birth, weaning and yearling weights."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.ageadjust import (
    Weaned,
    adjusted_birth_weight,
    adjusted_weaning_weight,
    adjusted_yearling_weight,
)
from herd.values.classes import AnimalClass
from herd.values.mass import KG_PER_LB, WeightUnit
from herd.values.policy import PUBLISHED

BULL, STEER, HEIFER = AnimalClass.BULL, AnimalClass.STEER, AnimalClass.HEIFER
MATURE = 72
LENIENT = replace(PUBLISHED, adjusts_without_dam_age=True)


def codes(figure):
    return [caution.code for caution in figure.cautions]


# AOD-1: Beef Improvement Federation standard additive factors in pounds, Michigan State University Extension.
AOD = [(2, 8, 60, 54), (3, 5, 40, 36), (4, 2, 20, 18), (5, 0, 0, 0), (10, 0, 0, 0), (11, 3, 20, 18), (17, 3, 20, 18)]


@pytest.mark.parametrize(("years", "birth", "male", "female"), AOD)
def test_aod_1_additions_for_the_age_of_the_dam(years, birth, male, female):
    for months in (years * 12, years * 12 + 11):
        assert adjusted_birth_weight(80, months).value == 80 + birth
        for animal_class, added in ((BULL, male), (STEER, male), (HEIFER, female)):
            calf = Weaned(500, 205, animal_class, 80, months)
            assert adjusted_weaning_weight(calf).value == 500 + added


W205 = [  # computed from the guideline's formula
    ("W205-1", Weaned(520, 200, BULL, 80, 24), "591.00"),
    ("W205-2", Weaned(480, 190, HEIFER, 75, 24), "565.97"),
    ("W205-3", Weaned(560, 230, BULL, 85, MATURE), "508.37"),
    ("W205-4", Weaned(500, 215, HEIFER, 70, 48), "498.00"),
    # A breeder's page prints 783.8 from a rounded gain; the exact value is 783.21.
    ("W205-5", Weaned(800, 210, BULL, 95, MATURE), "783.21"),
]


@pytest.mark.parametrize("row", W205, ids=lambda row: row[0])
def test_w205_adjusted_weaning_weights(row):
    figure = adjusted_weaning_weight(row[1])
    assert (figure.rounded(2), figure.cautions) == (Decimal(row[2]), ())


@pytest.mark.parametrize("age", [159, 251])
def test_w205_6_calf_outside_the_window_is_not_adjusted(age):
    with pytest.raises(ValueError, match=f"at {age} days of age isn't adjusted.*160 to 250.*group of their own"):
        adjusted_weaning_weight(Weaned(500, age, BULL, 80, MATURE))  # Beef Improvement Federation guidelines


@pytest.mark.parametrize("age", [160, 250])
def test_ends_of_the_window_are_inside(age):
    assert adjusted_weaning_weight(Weaned(500, age, BULL, 80, MATURE)).value > 80


def test_yw_1_adjusted_yearling_weight_of_a_printed_example():
    # A breed society's public help page: 1085 lb at 363 days, 660 at 209, adjusted weaning 731; prints 1173.
    calf = Weaned(660, 209, BULL, 80, MATURE)
    weaning = replace(adjusted_weaning_weight(calf), value=Fraction(731))
    yearling = adjusted_yearling_weight(1085, 363, calf, weaning)
    assert (yearling.rounded(), yearling.rounded(2)) == (Decimal(1173), Decimal("1172.56"))


def test_yearling_weight_carries_the_dam_s_age_from_the_weaning_weight_only():
    young, grown = Weaned(660, 209, BULL, 80, 24), Weaned(660, 209, BULL, 80, MATURE)
    heavier, lighter = (
        adjusted_yearling_weight(1085, 363, calf, adjusted_weaning_weight(calf)) for calf in (young, grown)
    )
    assert heavier.value - lighter.value == 60


def test_parts_say_how_the_figure_was_made():
    figure = adjusted_weaning_weight(Weaned(520, 200, BULL, 80, 24))
    assert [(part.name, part.amount) for part in figure.parts] == [
        ("weaning weight", 520),
        ("birth weight", 80),
        ("age at weaning", 200),
        ("addition for the dam's age", 60),
    ]
    assert "x 205" in figure.formula
    assert "Michigan State University Extension" in figure.source


def test_outfit_can_ask_for_weights_of_dams_of_unknown_age_which_say_so():
    figure = adjusted_weaning_weight(Weaned(520, 200, BULL, 80), policy=LENIENT)
    assert (figure.value, codes(figure)) == (531, ["no_dam_age"])
    assert "Without adjustment for age of dam: the dam's age isn't known" in figure.cautions[0].text


def test_dam_younger_than_the_table_then_gives_a_weight_that_says_so():
    figure = adjusted_birth_weight(80, 23, policy=LENIENT)
    assert (figure.value, codes(figure)) == (80, ["no_dam_age"])
    assert "so young a dam" in figure.cautions[0].text


@pytest.mark.parametrize(("months", "sentence"), [(None, "dam's age isn't known"), (23, "so young a dam")])
def test_without_a_factor_for_the_dam_nothing_is_adjusted(months, sentence):
    with pytest.raises(ValueError, match=sentence):
        adjusted_birth_weight(80, months)


def test_missing_birth_weight_is_never_invented():
    with pytest.raises(ValueError, match="Without a birth weight"):
        adjusted_weaning_weight(Weaned(520, 200, BULL, None, MATURE))


def test_standard_birth_weight_of_the_outfit_is_said_to_be_assumed():
    own = replace(PUBLISHED, standard_birth_weight=Decimal(80))
    figure = adjusted_weaning_weight(Weaned(520, 200, BULL, None, MATURE), policy=own)
    assert (figure.value, codes(figure)) == (531, ["assumed_birth_weight"])


def test_yearling_weight_keeps_the_cautions_of_the_weaning_weight():
    calf = Weaned(660, 209, BULL, 80)
    weaned = adjusted_weaning_weight(calf, policy=LENIENT)
    assert codes(adjusted_yearling_weight(1085, 363, calf, weaned)) == ["no_dam_age"]


@pytest.mark.parametrize(
    ("age", "sentence"), [(319, "320 to 410 days"), (411, "320 to 410 days")], ids=["young", "old"]
)
def test_yearling_outside_the_window_is_refused(age, sentence):
    calf = Weaned(660, 209, BULL, 80, MATURE)
    with pytest.raises(ValueError, match=sentence):
        adjusted_yearling_weight(1085, age, calf, adjusted_weaning_weight(calf))


def test_yearling_weight_taken_before_weaning_is_refused():
    calf = Weaned(660, 209, BULL, 80, MATURE)
    with pytest.raises(ValueError, match="after the weaning weight"):
        adjusted_yearling_weight(1085, 363, replace(calf, age_days=363), adjusted_weaning_weight(calf))


def test_pounds_and_kilograms_are_never_mixed():
    calf = Weaned(660, 209, BULL, 80, MATURE)
    with pytest.raises(ValueError, match="in lb, the rest in kg"):
        adjusted_yearling_weight(1085, 363, replace(calf, unit=WeightUnit.KG), adjusted_weaning_weight(calf))


@given(
    st.integers(min_value=200, max_value=900),
    st.integers(min_value=40, max_value=140),
    st.integers(min_value=160, max_value=250),
    st.sampled_from([None, 12, 24, 40, 50, 90, 150]),
)
def test_kilograms_come_to_the_same_mass_as_pounds(weaning, birth, age, dam_months):
    pounds = adjusted_weaning_weight(Weaned(weaning, age, HEIFER, birth, dam_months), policy=LENIENT)
    kilograms = adjusted_weaning_weight(
        Weaned(weaning * KG_PER_LB, age, HEIFER, birth * KG_PER_LB, dam_months, WeightUnit.KG), policy=LENIENT
    )
    assert kilograms.value == pounds.value * Fraction(KG_PER_LB)


@given(st.integers(min_value=100, max_value=900), st.integers(min_value=40, max_value=99))
def test_weight_at_205_days_of_a_mature_dam_s_calf_stays_as_weighed(weaning, birth):
    assert adjusted_weaning_weight(Weaned(weaning, 205, BULL, birth, MATURE)).value == weaning
