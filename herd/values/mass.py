"""A weighed mass: the number as it was entered, its unit, and the exact whole nanograms behind both."""

from dataclasses import dataclass
from decimal import Context, Decimal
from enum import StrEnum
from typing import Self

from herd.values.problems import Unreadable, shown

KG_PER_LB = Decimal("0.45359237")
"""Exact by the international yard and pound agreement of 1959."""

_MAX_PLACES = 3
_LARGEST = Decimal(10) ** 9
_NANOGRAMS_PER_KG = 10**12
_EXACT = Context(prec=60)


class WeightUnit(StrEnum):
    """The units in which cattle are weighed."""

    LB = "lb"
    KG = "kg"


NANOGRAMS: dict[WeightUnit, int] = {WeightUnit.LB: 453_592_370_000, WeightUnit.KG: _NANOGRAMS_PER_KG}
"""Whole nanograms in one unit."""


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight as entered, up to three decimals; raises Unreadable for finer, negative or endless numbers."""

    entered: Decimal
    unit: WeightUnit

    def __post_init__(self) -> None:
        written = str(self.entered)
        if not self.entered.is_finite() or not 0 <= self.entered < _LARGEST:
            raise Unreadable(written, "not_weight", f"{shown(written)} is not a weight.")
        if self.entered != _EXACT.quantize(self.entered, Decimal(1).scaleb(-_MAX_PLACES)):
            reason = f"{shown(written)} has more than three decimals, finer than any livestock scale."
            raise Unreadable(written, "too_fine", reason)

    @property
    def nanograms(self) -> int:
        """The mass in whole nanograms, exact: one pound is 453,592,370,000."""
        return int(_EXACT.multiply(self.entered, Decimal(NANOGRAMS[self.unit])))

    @property
    def kilograms(self) -> Decimal:
        """The mass in kilograms, exact for both units."""
        return _EXACT.divide(Decimal(self.nanograms), Decimal(_NANOGRAMS_PER_KG))

    @property
    def pounds(self) -> Decimal:
        """The mass in pounds: exact when entered in pounds, else to 60 significant digits."""
        if self.unit is WeightUnit.LB:
            return self.entered
        return _EXACT.divide(Decimal(self.nanograms), Decimal(NANOGRAMS[WeightUnit.LB]))

    @classmethod
    def from_nanograms(cls, nanograms: int, unit: WeightUnit) -> Self:
        """The weight that was stored; raises Unreadable "not_exact" if three decimals cannot show it.

        To show a weight in another unit use `kilograms` or `pounds` and round them.
        """
        thousandths, rest = divmod(nanograms * 10**_MAX_PLACES, NANOGRAMS[unit])
        if rest:
            written = f"{nanograms} ng"
            raise Unreadable(
                written, "not_exact", f"{shown(written)} is not a weight of three decimals in {unit}."
            )
        entered = Decimal(thousandths).scaleb(-_MAX_PLACES, _EXACT)
        whole = entered == entered.to_integral_value()
        return cls(entered.quantize(Decimal(1)) if whole else entered.normalize(_EXACT), unit)
