"""Lengths measured on an animal, hip height and scrotal circumference, with the unit they were read in."""

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from herd.values.mass import WeightUnit
from herd.values.problems import Unreadable, shown

CM_PER_INCH = Decimal("2.54")
_WORDS = {
    "in": "in", "inch": "in", "inches": "in", '"': "in", "”": "in", "''": "in",
    "cm": "cm", "cms": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
}  # fmt: skip
_WRITTEN = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,3})?)\s*(.*)")


class LengthUnit(StrEnum):
    """The unit of a length."""

    INCH = "in"
    CM = "cm"


@dataclass(frozen=True, slots=True)
class Measure:
    """What is measured: its name, and the least and most that a reading can be, in centimetres."""

    name: str
    least: int
    most: int


# Nothing outside can be a reading of cattle; inside, the published table runs from 33 to 61 inches of hip height
# and 30 to 40 cm are usual at a year. The outer limits are from memory.
MEASURES = {"height": Measure("hip height", 50, 200), "circumference": Measure("scrotal circumference", 10, 60)}


@dataclass(frozen=True, slots=True)
class Length:
    """A length as it was entered; written "49.5 in"."""

    entered: Decimal
    unit: LengthUnit

    def __str__(self) -> str:
        return f"{self.entered.normalize():f} {self.unit}"

    @property
    def inches(self) -> Fraction:
        """The exact length in inches."""
        value = Fraction(self.entered)
        return value if self.unit is LengthUnit.INCH else value / Fraction(CM_PER_INCH)

    @property
    def centimetres(self) -> Fraction:
        """The exact length in centimetres."""
        value = Fraction(self.entered)
        return value if self.unit is LengthUnit.CM else value * Fraction(CM_PER_INCH)


def usual_unit(key: str, weights: WeightUnit) -> LengthUnit:
    """The unit of a reading that names none: circumferences are in centimetres, heights go with the weights."""
    return LengthUnit.INCH if key == "height" and weights is WeightUnit.LB else LengthUnit.CM


def read_length(text: str, key: str, default: LengthUnit) -> Length:
    """A reading of what `key` of MEASURES names, with its own unit or the default; raises Unreadable."""
    measure, inner = MEASURES[key], " ".join(text.split()).lower()
    parts = _WRITTEN.fullmatch(inner)
    word = parts[2].rstrip(".") if parts else ""
    if not parts or (word and word not in _WORDS):
        raise Unreadable(text, "not_a_length", f"{shown(text)} is no {measure.name}; write it as 49.5 in or 126 cm.")
    length = Length(Decimal(parts[1].replace(",", ".")), LengthUnit(_WORDS[word]) if word else default)
    if not measure.least <= length.centimetres <= measure.most:
        least, most = (_in_unit(one, length.unit) for one in (measure.least, measure.most))
        reason = f"{length} can’t be a {measure.name}; {least} to {most} {length.unit} can."
        raise Unreadable(text, "out_of_range", reason)
    return length


def length_of(stored: object) -> Length | None:
    """A length of the record, where it is one."""
    number, _, unit = str(stored).partition(" ")
    if unit not in set(LengthUnit) or not re.fullmatch(r"[0-9]{1,3}(?:\.[0-9]{1,3})?", number):
        return None
    return Length(Decimal(number), LengthUnit(unit))


def _in_unit(centimetres: int, unit: LengthUnit) -> int:
    return centimetres if unit is LengthUnit.CM else round(centimetres / CM_PER_INCH)
