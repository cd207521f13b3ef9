"""Animal units of cattle by three published ways, which differ and have to be named."""

from decimal import Context, Decimal
from fractions import Fraction

from herd.values.figures import Amount, Figure, Part, exact, positive
from herd.values.policy import PUBLISHED, AnimalUnitRule, Policy

POUNDS_A_DAY = 26
"""Air-dry forage of one animal unit (Texas chart; Manske, North Dakota State University)."""
POUNDS_A_MONTH = 780
"""Forage of an animal unit month, 30 days."""

_DIGITS = Context(prec=30)
_DRY = Fraction(1, 10)
_CALF = Fraction(3, 10)


def animal_units(
    pounds: Amount, *, is_dry: bool = False, has_older_calf: bool = False, policy: Policy = PUBLISHED
) -> Figure:
    """Animal units of one head of so many pounds, by the policy's rule.

    Linear: 0.1 for each 100 lb, a calf at foot included. Pair: the same for a cow nursing, 0.1 less for a dry one,
    0.3 more for a calf over 4 months; printed for cows of 1,000 and 1,200 lb, between and beyond computed.
    Metabolic: (weight / 1,000) to the power 0.75, to 30 digits. Raises ValueError for a weight not above zero
    and for a dry cow with a calf.
    """
    weight = positive(pounds, "The weight")
    if is_dry and has_older_calf:
        raise ValueError("A dry cow has no calf at foot.")
    parts = (Part("weight", weight, "lb"),)
    if policy.animal_unit is AnimalUnitRule.METABOLIC:
        source = "Manske, North Dakota State University, Dickinson Research Extension Center"
        return Figure(_metabolic(weight), "AU", "(weight / 1,000) ^ 0.75", parts, source)
    if policy.animal_unit is AnimalUnitRule.LINEAR:
        source = "Texas chart; University of Nebraska-Lincoln drought centre"
        return Figure(weight / 1000, "AU", "weight / 1,000", parts, source)
    value = weight / 1000 - (_DRY if is_dry else 0) + (_CALF if has_older_calf else 0)
    formula = "weight / 1,000, less 0.1 when dry, 0.3 more for a calf over 4 months"
    return Figure(value, "AU", formula, parts, "extension.org, beef cattle")


def animal_units_by_intake(pounds: Amount, intake_percent: Amount) -> Figure:
    """Animal units from a weight in pounds and a daily intake in per cent of it, over 9,490 lb a year.

    Source: Texas chart of animal unit equivalents. Raises ValueError for numbers not above zero.
    """
    weight, share = positive(pounds, "The weight"), positive(intake_percent, "The intake") / 100
    return Figure(
        weight * share * 365 / (POUNDS_A_DAY * 365),
        "AU",
        "weight x intake x 365 / 9,490",
        (Part("weight", weight, "lb"), Part("intake", share * 100, "% of weight a day")),
        "Texas chart of animal unit equivalents",
    )


def forage_for(units: Amount, days: int) -> Fraction:
    """Pounds of air-dry forage for so many animal units and days; raises ValueError below zero."""
    if days < 0 or exact(units) < 0:
        raise ValueError("Neither animal units nor days can be below zero.")
    return exact(units) * days * POUNDS_A_DAY


def _metabolic(weight: Fraction) -> Fraction:
    thousands = _DIGITS.divide(Decimal(weight.numerator), Decimal(weight.denominator * 1000))
    return Fraction(_DIGITS.power(thousands, Decimal("0.75")))
