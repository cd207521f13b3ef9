"""Birth, weaning and yearling weights adjusted for age and for the age of the dam."""

from dataclasses import dataclass
from fractions import Fraction

from herd.values.classes import AnimalClass
from herd.values.figures import Amount, Figure, Part, exact, positive
from herd.values.mass import KG_PER_LB, WeightUnit
from herd.values.policy import PUBLISHED, DamAge, DayWindow, Policy
from herd.values.problems import Caution

WEANING_AGE = 205
YEARLING_AGE = 365
_MALE = frozenset({AnimalClass.BULL, AnimalClass.STEER})


@dataclass(frozen=True, slots=True)
class Weaned:
    """A calf at its weaning weight: weights in `unit`, age in days, the dam's completed months at its birth."""

    weight: Amount
    age_days: int
    animal_class: AnimalClass
    birth_weight: Amount | None = None
    dam_months: int | None = None
    unit: WeightUnit = WeightUnit.LB


def adjusted_birth_weight(
    weight: Amount,
    dam_months: int | None,
    *,
    unit: WeightUnit = WeightUnit.LB,
    policy: Policy = PUBLISHED,
) -> Figure:
    """Birth weight as if from a mature dam, in `unit`; the same addition for both sexes.

    Source: Beef Improvement Federation guidelines, "Birth Weight"; factors as the policy names them. Raises
    ValueError for a weight not above zero, and without the dam's age where the policy asks for it.
    """
    actual = positive(weight, "The birth weight")
    row, cautions = _dam_age(dam_months, policy)
    added = _in_unit(row.birth, unit) if row else Fraction(0)
    return Figure(
        actual + added,
        unit,
        "birth weight + addition for the dam's age",
        (Part("birth weight", actual, unit), Part("addition for the dam's age", added, unit)),
        f"Beef Improvement Federation guidelines, Birth Weight; {policy.source_of('dam_ages')}",
        cautions,
    )


def adjusted_weaning_weight(calf: Weaned, *, policy: Policy = PUBLISHED) -> Figure:
    """Weaning weight at 205 days as if from a mature dam, in the calf's unit.

    Source: Beef Improvement Federation guidelines, "Weaning Weight"; factors and age window as the policy
    names them. Raises ValueError outside the age window (such calves are a group of their own and aren't
    adjusted), without a birth weight where the policy has no standard one, and for numbers not above zero.
    """
    weaned = positive(calf.weight, "The weaning weight")
    _check_age(calf.age_days, policy.weaning_window, "weaning weight")
    born, assumed = _birth_weight(calf, policy)
    row, cautions = _dam_age(calf.dam_months, policy)
    added = _in_unit(_weaning_addition(row, calf.animal_class), calf.unit) if row else Fraction(0)
    parts = (
        Part("weaning weight", weaned, calf.unit),
        Part("birth weight", born, calf.unit),
        Part("age at weaning", calf.age_days, "days"),
        Part("addition for the dam's age", added, calf.unit),
    )
    return Figure(
        (weaned - born) / calf.age_days * WEANING_AGE + born + added,
        calf.unit,
        "(weaning weight - birth weight) / age x 205 + birth weight + addition for the dam's age",
        parts,
        f"Beef Improvement Federation guidelines, Weaning Weight; {policy.source_of('dam_ages')}",
        assumed + cautions,
    )


def adjusted_yearling_weight(
    yearling_weight: Amount,
    age_days: int,
    calf: Weaned,
    adjusted_weaning: Figure,
    *,
    policy: Policy = PUBLISHED,
) -> Figure:
    """Yearling weight at 365 days, in the calf's unit; the dam's age comes in with the weaning weight only.

    `adjusted_weaning` is the calf's adjusted weaning weight, in the same unit. Source: Beef Improvement
    Federation guidelines, "Yearling Weight". Raises ValueError outside the age window, for a yearling weight
    not taken after weaning, for mixed units, and for numbers not above zero.
    """
    yearling = positive(yearling_weight, "The yearling weight")
    weaned = positive(calf.weight, "The weaning weight")
    _check_age(age_days, policy.yearling_window, "yearling weight")
    days = age_days - calf.age_days
    if days <= 0:
        raise ValueError("The yearling weight has to be taken after the weaning weight.")
    if adjusted_weaning.unit != calf.unit:
        raise ValueError(f"The adjusted weaning weight is in {adjusted_weaning.unit}, the rest in {calf.unit}.")
    parts = (
        Part("yearling weight", yearling, calf.unit),
        Part("weaning weight", weaned, calf.unit),
        Part("days between", days),
        Part("adjusted weaning weight", adjusted_weaning.value, calf.unit),
    )
    return Figure(
        (yearling - weaned) / days * (YEARLING_AGE - WEANING_AGE) + adjusted_weaning.value,
        calf.unit,
        "(yearling weight - weaning weight) / days between x 160 + adjusted weaning weight",
        parts,
        "Beef Improvement Federation guidelines, Yearling Weight",
        adjusted_weaning.cautions,
    )


def _check_age(days: int, window: DayWindow, what: str) -> None:
    if days not in window:
        raise ValueError(
            f"A {what} at {days} days of age isn't adjusted: the guideline takes {window.first} to"
            f" {window.last} days, and others are a group of their own."
        )


def _birth_weight(calf: Weaned, policy: Policy) -> tuple[Fraction, tuple[Caution, ...]]:
    if calf.birth_weight is not None:
        return positive(calf.birth_weight, "The birth weight"), ()
    if policy.standard_birth_weight is None:
        raise ValueError("Without a birth weight, and without a standard one, the weight can't be adjusted.")
    standard = _in_unit(policy.standard_birth_weight, calf.unit)
    reason = "The calf wasn't weighed at birth; the outfit's standard birth weight was assumed."
    return standard, (Caution("assumed_birth_weight", reason),)


def _dam_age(months: int | None, policy: Policy) -> tuple[DamAge | None, tuple[Caution, ...]]:
    row = None
    if months is not None:
        row = next((one for one in reversed(policy.dam_ages) if months >= one.from_months), None)
    if row is not None:
        return row, ()
    why = "the dam's age isn't known" if months is None else "there is no factor for so young a dam"
    if not policy.adjusts_without_dam_age:
        raise ValueError(f"The weight can't be adjusted: {why}.")
    return None, (Caution("no_dam_age", f"Without adjustment for age of dam: {why}."),)


def _weaning_addition(row: DamAge, animal_class: AnimalClass) -> Amount:
    return row.weaning_male if animal_class in _MALE else row.weaning_female


def _in_unit(pounds: Amount, unit: WeightUnit) -> Fraction:
    return exact(pounds) * Fraction(KG_PER_LB) if unit is WeightUnit.KG else exact(pounds)
