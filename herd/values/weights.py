"""Reading a weight from a cell, with its unit and either decimal mark, and finding the unit in a heading."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from herd.values.cells import fold, is_missing, strip_guards
from herd.values.damage import is_scientific, looks_like_date, refuse_spreadsheet_marks
from herd.values.mass import KG_PER_LB, NANOGRAMS, Weight, WeightUnit
from herd.values.plausibility import plausible_gain_per_day, plausible_range
from herd.values.problems import Caution, Unreadable, shown

__all__ = [
    "KG_PER_LB",
    "Weight",
    "WeightReading",
    "WeightUnit",
    "find_unit",
    "plausible_gain_per_day",
    "plausible_range",
    "read_weight",
]

_UNIT_WORDS = {
    **dict.fromkeys(("lb", "lbs", "pound", "pounds", "libra", "libras", "livre", "livres"), WeightUnit.LB),
    **dict.fromkeys(
        ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes", "kilogramm"),
        WeightUnit.KG,
    ),
}
_HUNDREDWEIGHT = frozenset({"cwt", "cwts"})
_SCALE_WORDS = frozenset(
    {
        "ol",
        "-ol-",
        "o.l.",
        "err",
        "error",
        "over",
        "overload",
        "under",
        "underload",
        "unstable",
        "motion",
        "e1",
        "e2",
    }
)
_ESTIMATED = re.compile(
    r"[~\u2248?]|\b(?:est|estimate|estimated|approx|approximately|about|circa|ca|guess|guessed)\b"
)
_CELL = re.compile(r"([+\-\u2212]?) ?([0-9][0-9., '\u2019]*|[.,][0-9]+) ?([a-z]*)\.?")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:([,. '\u2019])[0-9]{3})(?:\1[0-9]{3})*(?:(?!\1)[.,][0-9]+)?")
_PLAIN = re.compile(r"[0-9]*[.,]?[0-9]+|[0-9]+[.,]")
_LIMIT_NANOGRAMS = 2000 * NANOGRAMS[WeightUnit.KG]
_BELOW_ANY_CALF = Decimal(10)


@dataclass(frozen=True, slots=True)
class WeightReading:
    """A weight that was read and where its unit came from."""

    weight: Weight
    unit_from: Literal["cell", "default"]
    cautions: tuple[Caution, ...] = ()


def read_weight(text: str, default: WeightUnit | None, *, decimal_mark: str = ".") -> WeightReading:
    """The weight in a cell, in the cell's own unit or else the default; raises Unreadable.

    A separator before exactly three digits is a thousands mark unless it is the `decimal_mark`. Estimates are
    refused because eye estimates are not data (Beef Improvement Federation); the upper limit is 2,000 kg.
    A hundredweight is the short one of 100 lb (United States customary units).
    """
    inner = strip_guards(text)
    if _scale_failed(inner):
        raise Unreadable(text, "scale_error", f"{shown(text)} is an error of the scale, not a weight.")
    if is_missing(inner):
        raise Unreadable(text, "empty", "The weight is empty.")
    refuse_spreadsheet_marks(inner)
    if is_scientific(inner) or looks_like_date(inner):
        raise Unreadable(text, "spreadsheet_damaged", f"{shown(text)} was changed by a spreadsheet.")
    written = fold(inner)
    if _ESTIMATED.search(written):
        raise Unreadable(text, "estimated", f"{shown(text)} is an estimate; only weighed weights are kept.")
    cell = _CELL.fullmatch(written)
    if not cell:
        raise Unreadable(text, "not_weight", f"{shown(text)} is not a weight.")
    amount = _amount(text, cell[2].strip(), decimal_mark)
    if cell[1] and cell[1] != "+":
        raise Unreadable(text, "negative", f"{shown(text)} is below zero.")
    return _weighed(text, amount, cell[3], default)


def find_unit(text: str) -> WeightUnit | None:
    """The unit named in a heading such as "Weight (lb)" or "LW_KG"; None when none or both are named."""
    split = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", strip_guards(text))
    named = {_UNIT_WORDS[word] for word in re.findall(r"[a-z]+", fold(split)) if word in _UNIT_WORDS}
    return named.pop() if len(named) == 1 else None


def _scale_failed(inner: str) -> bool:
    return fold(inner) in _SCALE_WORDS or re.fullmatch(r"[-_=]{3,}", inner) is not None


def _amount(text: str, digits: str, decimal_mark: str) -> Decimal:
    grouped = _GROUPED.fullmatch(digits)
    marks = re.sub("[0-9]", "", digits)
    if grouped and (grouped[1] != decimal_mark or len(marks) > 1):
        return Decimal(digits.replace(grouped[1], "").replace(",", "."))
    if not _PLAIN.fullmatch(digits):
        raise Unreadable(text, "not_weight", f"{shown(text)} is not one number.")
    amount = Decimal(digits.replace(",", "."))
    if grouped and amount < _BELOW_ANY_CALF:
        reason = f"{shown(text)} could be {digits.replace(decimal_mark, '')} or a decimal fraction."
        raise Unreadable(text, "ambiguous_separator", reason)
    return amount


def _weighed(text: str, amount: Decimal, unit_word: str, default: WeightUnit | None) -> WeightReading:
    cautions = []
    if unit_word in _HUNDREDWEIGHT:
        amount, unit = amount * 100, WeightUnit.LB
        cautions.append(Caution("hundredweight", f"{shown(text)} was read as hundredweights of 100 lb."))
    elif unit_word:
        unit = _unit_of(text, unit_word)
    elif default is None:
        raise Unreadable(
            text, "no_unit", f"{shown(text)} has no unit; say whether it is pounds or kilograms."
        )
    else:
        return WeightReading(_limited(text, amount, default), "default")
    if default is not None and unit is not default:
        cautions.append(Caution("unit_differs", f"{shown(text)} is in {unit}, the rest in {default}."))
    return WeightReading(_limited(text, amount, unit), "cell", tuple(cautions))


def _unit_of(text: str, word: str) -> WeightUnit:
    if word not in _UNIT_WORDS:
        raise Unreadable(text, "unknown_unit", f"{shown(text)} is in a unit not known here: {word}.")
    return _UNIT_WORDS[word]


def _limited(text: str, amount: Decimal, unit: WeightUnit) -> Weight:
    if amount == 0:
        raise Unreadable(text, "zero", f"{shown(text)} is zero, so nothing stood on the scale.")
    if amount > 10**6:
        raise Unreadable(text, "too_heavy", f"{shown(text)} is more than any animal weighs.")
    weight = Weight(amount, unit)
    if weight.nanograms > _LIMIT_NANOGRAMS:
        raise Unreadable(text, "too_heavy", f"{shown(text)} is more than any animal weighs.")
    return weight
