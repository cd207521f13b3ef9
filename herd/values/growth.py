"""Gain between two weighings and weight per day of age."""

from dataclasses import dataclass
from datetime import date

from herd.values.figures import Amount, Figure, Part, positive
from herd.values.mass import WeightUnit
from herd.values.policy import PUBLISHED, Policy
from herd.values.problems import Caution


@dataclass(frozen=True, slots=True)
class Weighed:
    """A weight on a day."""

    day: date
    weight: Amount


def gain_per_day(
    one: Weighed, other: Weighed, *, unit: WeightUnit = WeightUnit.LB, policy: Policy = PUBLISHED
) -> Figure:
    """Average daily gain between two weighings given in any order, in `unit` a day; below zero for a loss.

    Days are the plain difference of the dates. A short span is cautioned, for fill alone moves a weight.
    Source: Beef Improvement Federation guidelines, "Average daily gain". Raises ValueError for two weighings
    of one day and for a weight that isn't above zero.
    """
    earlier, later = (one, other) if one.day <= other.day else (other, one)
    first = positive(earlier.weight, "The first weight")
    last = positive(later.weight, "The last weight")
    days = (later.day - earlier.day).days
    if not days:
        raise ValueError("Both weighings are of one day, so there is no daily gain between them.")
    return Figure(
        (last - first) / days,
        f"{unit} a day",
        "(last weight - first weight) / days between",
        (Part("first weight", first, unit), Part("last weight", last, unit), Part("days between", days)),
        "Beef Improvement Federation guidelines, Average daily gain",
        _fill_cautions(days, policy),
    )


def weight_per_day_of_age(weight: Amount, age_days: int, *, unit: WeightUnit = WeightUnit.LB) -> Figure:
    """Weight divided by age, the birth weight not subtracted, in `unit` a day.

    Source: Beef Improvement Federation guidelines. Raises ValueError for a weight or an age not above zero.
    """
    heavy, days = positive(weight, "The weight"), positive(age_days, "The age in days")
    return Figure(
        heavy / days,
        f"{unit} a day of age",
        "weight / age in days",
        (Part("weight", heavy, unit), Part("age", age_days, "days")),
        "Beef Improvement Federation guidelines",
    )


def _fill_cautions(days: int, policy: Policy) -> tuple[Caution, ...]:
    if days >= policy.fill_caution:
        return ()
    between = "Only one day lies" if days == 1 else f"Only {days} days lie"
    reason = (
        f"{between} between the weighings. Fill alone moved cattle by 39 kg (86 lb) down to 44 kg (97 lb) up"
        f" from one day to the next (Watson et al. 2013), so a gain over less than {policy.fill_caution} days"
        " says little."
    )
    return (Caution("short_span", reason),)
