"""Animal units by each published way."""

from dataclasses import replace
from decimal import Decimal

import pytest

from herd.values.animalunits import POUNDS_A_MONTH, animal_units, animal_units_by_intake, forage_for
from herd.values.policy import PUBLISHED, AnimalUnitRule

PAIR = replace(PUBLISHED, animal_unit=AnimalUnitRule.PAIR)
METABOLIC = replace(PUBLISHED, animal_unit=AnimalUnitRule.METABOLIC)


@pytest.mark.parametrize(("pounds", "units"), [(1284, "1.284"), (700, "0.7"), (1200, "1.2"), (1000, "1")])
def test_au_4_linear_units(pounds, units):
    assert animal_units(pounds).value == Decimal(units)  # Nebraska drought centre; Texas chart


def test_au_1_and_2_pairs_and_dry_cows():
    # extension.org, beef cattle.
    assert animal_units(1200, has_older_calf=True, policy=PAIR).value == Decimal("1.5")
    assert animal_units(1200, policy=PAIR).value == Decimal("1.2")
    assert animal_units(1000, is_dry=True, policy=PAIR).value == Decimal("0.9")
    assert animal_units(1200, is_dry=True, policy=PAIR).value == Decimal("1.1")


@pytest.mark.parametrize(("pounds", "units"), [(1200, "1.15"), (1400, "1.29"), (700, "0.77"), (1000, "1.00")])
def test_au_5_metabolic_units(pounds, units):
    figure = animal_units(pounds, policy=METABOLIC)  # formula of Manske, North Dakota State; computed
    assert figure.rounded(2) == Decimal(units)


@pytest.mark.parametrize(
    ("pounds", "intake", "printed"), [(130, "3.5", "0.18"), (1100, "3.0", "1.27"), (800, 3, "0.92")]
)
def test_au_3_texas_chart_with_its_tie(pounds, intake, printed):
    assert animal_units_by_intake(pounds, Decimal(intake)).rounded(2) == Decimal(printed)


def test_month_of_one_unit():
    assert forage_for(1, 30) == POUNDS_A_MONTH == 780  # Texas chart


def test_impossible_animals_are_refused():
    with pytest.raises(ValueError, match="dry cow has no calf"):
        animal_units(1200, is_dry=True, has_older_calf=True, policy=PAIR)
    with pytest.raises(ValueError, match="weight has to be above zero"):
        animal_units(0)
    with pytest.raises(ValueError, match="can be below zero"):
        forage_for(1, -1)
