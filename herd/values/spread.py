"""How figures are spread: lowest, lower quarter, middle, upper quarter, highest."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import quantiles

SOURCE = "Quarters by the seventh definition of Hyndman and Fan 1996, The American Statistician 50:361-365"


@dataclass(frozen=True, slots=True)
class Spread:
    """Five figures of many, exact, in their own unit; `head` says of how many."""

    low: Fraction
    lower: Fraction
    middle: Fraction
    upper: Fraction
    high: Fraction
    head: int


def spread_of(figures: Sequence[Fraction]) -> Spread:
    """The spread of figures; raises ValueError for none."""
    if not figures:
        raise ValueError("There is nothing to spread out.")
    some = sorted(figures)
    # Of one figure all five are the same.
    lower, middle, upper = quantiles(some, n=4, method="inclusive") if len(some) > 1 else some * 3
    return Spread(some[0], lower, middle, upper, some[-1], len(some))
