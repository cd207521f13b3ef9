"""Scrotal circumference at 365 days."""

from decimal import Decimal
from fractions import Fraction

import pytest

from herd.values.scrotal import adjusted_scrotal_circumference


def test_sc_1_angus_bull_at_350_days():
    # Factor from Geske, Schalles and Zoellner 1995 by the Beef Improvement Federation; arithmetic computed.
    figure = adjusted_scrotal_circumference(34, 350, "Angus")
    assert (figure.rounded(3), figure.unit) == (Decimal("34.561"), "cm")


@pytest.mark.parametrize(
    ("breed", "factor"),
    [
        ("Charolais", "0.0505"), ("Gelbvieh", "0.0505"), ("Hereford", "0.0425"), ("Limousin", "0.0590"),
        ("Red Angus", "0.0324"), ("simmental", "0.0543"),
    ],
)  # fmt: skip
def test_a_day_adds_the_factor_of_the_breed(breed, factor):
    younger, year_old = (adjusted_scrotal_circumference(34, age, breed) for age in (364, 365))
    assert younger.value - year_old.value == Fraction(Decimal(factor))


def test_older_bull_is_brought_back():
    assert adjusted_scrotal_circumference(36, 375, "Angus").rounded(3) == Decimal("35.626")


@pytest.mark.parametrize("age", [319, 441])
def test_ages_outside_the_window_are_refused(age):
    with pytest.raises(ValueError, match="from 320 to 440 days"):
        adjusted_scrotal_circumference(34, age, "Angus")


def test_breed_without_a_factor_is_refused():
    with pytest.raises(ValueError, match="no factor for this breed"):
        adjusted_scrotal_circumference(34, 365, "Longhorn")
