"""Exact figures, rounded once."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.figures import exact, mean, not_negative, positive, round_half_up


def test_tie_is_rounded_up_as_the_printed_chart_does():
    assert round_half_up(Fraction(175, 1000), 2) == Decimal("0.18")  # Texas chart: ewe of 130 lb, 3.5 %


def test_tie_below_zero_is_rounded_away_from_zero():
    assert str(round_half_up(Fraction(-175, 1000), 2)) == "-0.18"


def test_nothing_below_zero_is_shown_as_minus_nought():
    assert str(round_half_up(Fraction(-1, 1000), 2)) == "0.00"


def test_long_numbers_keep_every_digit():
    assert str(round_half_up(Fraction(10**40 + 1), 1)) == f"{10**40 + 1}.0"


@pytest.mark.parametrize("written", [0.1, True, "5", None])
def test_only_exact_numbers_are_taken(written):
    with pytest.raises(ValueError, match="The weight has to be a whole number, a decimal or a fraction"):
        exact(written, "The weight")


@pytest.mark.parametrize("written", ["NaN", "Infinity", "-Infinity"])
def test_numbers_without_an_end_are_refused(written):
    with pytest.raises(ValueError, match="is not a number"):
        exact(Decimal(written))


def test_limits_name_what_they_are_about():
    with pytest.raises(ValueError, match="The weight has to be above zero"):
        positive(0, "The weight")
    with pytest.raises(ValueError, match="The price can't be below zero"):
        not_negative(Decimal("-0.01"), "The price")
    assert not_negative(0, "The price") == 0


def test_rounding_to_tens_is_refused():
    with pytest.raises(ValueError, match="decimals"):
        round_half_up(Fraction(5), -1)


def test_there_is_no_mean_of_nothing():
    with pytest.raises(ValueError, match="nothing to take a mean of"):
        mean([])


@given(st.fractions(), st.integers(min_value=0, max_value=6))
def test_rounding_is_never_off_by_more_than_half_of_the_last_place(value, places):
    assert abs(Fraction(round_half_up(value, places)) - value) <= Fraction(1, 2 * 10**places)
