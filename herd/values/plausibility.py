"""Soft limits for weights and gains: outside them a person is asked, nothing is refused."""

from decimal import Decimal

from herd.values.mass import KG_PER_LB, Weight, WeightUnit
from herd.values.problems import Unreadable, shown

_CLASSES = ("cow", "bull", "heifer", "steer", "calf")
_WEANING_WINDOW_END = 250
_WEANING_END = 320
_YEARLING_END = 550
_BULL_GROWN = 1095
# Two weighings of one animal on consecutive days differed by -39 to +44 kg, from fill alone.
_FILL_LOSS_KG, _FILL_GAIN_KG = Decimal(-39), Decimal(44)
_GROWN_POUNDS = {"cow": (800, 2000), "bull": (600, 3000), "heifer": (450, 2000), "steer": (450, 2500)}
_ANY_AGE_POUNDS = {
    "cow": (800, 2000),
    "bull": (40, 3000),
    "heifer": (40, 2000),
    "steer": (40, 2500),
    "calf": (40, 900),
}


def plausible_range(animal_class: str, age_days: int | None) -> tuple[Weight, Weight]:
    """The lightest and heaviest weight, in pounds, that needs no second look.

    Proposed limits [C]: birth 40-140 lb, weaning to 900 lb, yearling 450-1,600 lb, mature cow 800-2,000 lb,
    mature bull 1,200-3,000 lb [M]; between birth and weaning the limits grow by 0.8 and 4.5 lb a day [C].
    Young bulls, grown heifers and steers have no published anchor: wide limits [M]. Without an age only the
    widest limits of the class apply. Marks: C computed here from published anchors, M from memory.
    Raises Unreadable for a class other than cow, bull, heifer, steer, calf.
    """
    _check_class(animal_class)
    low, high = _pounds(animal_class, age_days)
    return Weight(low, WeightUnit.LB), Weight(high, WeightUnit.LB)


def plausible_gain_per_day(
    animal_class: str, age_days: int | None, *, span_days: int | None = None
) -> tuple[Decimal, Decimal]:
    """The lowest and highest gain in kilograms per day that needs no second look.

    Before weaning 0.8-4.5 lb a day [C]; growing stock -0.5 kg to 6 lb a day (the upper limit is the feedlot
    limit [C], the lower allows a hard winter [M]); grown cows and bulls 2.5 kg either way [M]. With
    `span_days` between the weighings the limits are never narrower than fill alone can make them, -39 to +44
    kg in all (Watson et al. 2013, Journal of Animal Science 91:5507). Raises Unreadable for an unknown class.
    """
    _check_class(animal_class)
    low, high = _gain_per_day(animal_class, age_days)
    if span_days is None:
        return low, high
    days = Decimal(max(span_days, 1))
    return min(low, _FILL_LOSS_KG / days), max(high, _FILL_GAIN_KG / days)


def _check_class(animal_class: str) -> None:
    if animal_class not in _CLASSES:
        raise Unreadable(animal_class, "unknown_class", f"{shown(animal_class)} is not a class of cattle.")


def _pounds(animal_class: str, age_days: int | None) -> tuple[Decimal, Decimal]:
    if age_days is None:
        low, high = _ANY_AGE_POUNDS[animal_class]
        return Decimal(low), Decimal(high)
    age = max(age_days, 0)
    if age < _WEANING_END:
        heaviest = 140 + Decimal("4.5") * age
        return 40 + Decimal("0.8") * age, min(
            heaviest, Decimal(900)
        ) if age <= _WEANING_WINDOW_END else heaviest
    if age < _YEARLING_END:
        return Decimal(450), Decimal(1600)
    if animal_class == "bull" and age >= _BULL_GROWN:
        return Decimal(1200), Decimal(3000)
    low, high = _GROWN_POUNDS.get(animal_class, (450, 3000))
    return Decimal(low), Decimal(high)


def _gain_per_day(animal_class: str, age_days: int | None) -> tuple[Decimal, Decimal]:
    if animal_class == "calf" or (age_days is not None and age_days < _WEANING_END):
        return Decimal("0.8") * KG_PER_LB, Decimal("4.5") * KG_PER_LB
    grown = animal_class == "cow" or (
        animal_class == "bull" and age_days is not None and age_days >= _BULL_GROWN
    )
    if grown:
        return Decimal("-2.5"), Decimal("2.5")
    return Decimal("-0.5"), 6 * KG_PER_LB
