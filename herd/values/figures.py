"""A figure that carries how it was made: exact value, unit, formula in words, parts, source and cautions."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from herd.values.problems import Caution

Amount = int | Decimal | Fraction
"""Numbers that are exact; a float is refused because its last digits are invented."""


@dataclass(frozen=True, slots=True)
class Part:
    """One input of a figure, as a person would call it."""

    name: str
    amount: Amount
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Figure:
    """An exact result with everything a page needs to show how it came about.

    Round it once, for display, and never reckon on with the rounded number.
    """

    value: Fraction
    unit: str
    formula: str
    parts: tuple[Part, ...]
    source: str
    cautions: tuple[Caution, ...] = ()

    def rounded(self, places: int = 0) -> Decimal:
        """The value to so many decimals, a tie away from zero."""
        return round_half_up(self.value, places)


def exact(amount: Amount, name: str = "The number") -> Fraction:
    """The amount as an exact fraction; raises ValueError for floats and for numbers without an end."""
    if type(amount) is Fraction:
        return amount
    if isinstance(amount, bool | float) or not isinstance(amount, int | Decimal | Fraction):
        raise ValueError(f"{name} has to be a whole number, a decimal or a fraction.")
    if isinstance(amount, Decimal) and not amount.is_finite():
        raise ValueError(f"{name} is not a number.")
    return Fraction(amount)


def positive(amount: Amount, name: str) -> Fraction:
    """The amount as an exact fraction; raises ValueError unless it is above zero."""
    value = exact(amount, name)
    if value <= 0:
        raise ValueError(f"{name} has to be above zero.")
    return value


def not_negative(amount: Amount, name: str) -> Fraction:
    """The amount as an exact fraction; raises ValueError below zero."""
    value = exact(amount, name)
    if value < 0:
        raise ValueError(f"{name} can't be below zero.")
    return value


def round_half_up(value: Fraction, places: int = 0) -> Decimal:
    """The value to so many decimals, a tie away from zero, as printed tables do (0.175 becomes 0.18)."""
    if places < 0:
        raise ValueError("The number of decimals can't be below zero.")
    units = int(abs(value) * 10**places + Fraction(1, 2))
    digits = tuple(int(digit) for digit in str(units))
    return Decimal((int(value < 0 and units > 0), digits, -places))


def say_parts(figure: Figure, places: int) -> str:
    """What went into a figure, as "first weight 612 lb, days between 70"; whole numbers without decimals."""
    said = []
    for part in figure.parts:
        amount = exact(part.amount)
        rounded = round_half_up(amount, 0 if amount.denominator == 1 else places)
        said.append(f"{part.name} {rounded:,} {part.unit}".strip())
    return ", ".join(said)


def total(values: Iterable[Fraction]) -> Fraction:
    """The sum. Those with one denominator are added first, so that a long sum takes few steps in long numbers."""
    found: dict[int, int] = {}
    for value in values:
        found[value.denominator] = found.get(value.denominator, 0) + value.numerator
    return sum((Fraction(top, bottom) for bottom, top in found.items()), Fraction(0))


def mean(values: Sequence[Fraction]) -> Fraction:
    """The plain mean; raises ValueError for none."""
    if not values:
        raise ValueError("There is nothing to take a mean of.")
    return total(values) / len(values)
