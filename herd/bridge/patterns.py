"""What a line says, by the patterns of its port: a number, a weight with its unit, or neither."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from herd.bridge.lines import Line
from herd.values.electronic import read_electronic
from herd.values.mass import Weight, WeightUnit
from herd.values.problems import Unreadable, shown
from herd.values.weights import find_unit, read_weight

GROUPS = frozenset({"number", "weight", "unit", "status"})
NOT_UNDERSTOOD = "no pattern fits"
_NEGATIVE = re.compile(r"\s*[-\u2212]\s*[0-9]+[0-9.,]*\s*")


class Flag(StrEnum):
    """What a status beside a weight can mean; what each scale writes for it stands in the configuration."""

    MOTION = "motion"
    OVERLOAD = "overload"
    NEGATIVE = "negative"
    ZERO = "zero"
    TARE = "tare"
    ERROR = "error"


@dataclass(frozen=True, slots=True)
class Words:
    """How one port is read: its patterns, its words for each flag, and the unit where a line names none."""

    patterns: Sequence[re.Pattern[str]]
    flags: Mapping[str, Flag] = field(default_factory=dict)
    unit: WeightUnit | None = None
    decimal_mark: str = "."


@dataclass(frozen=True, slots=True)
class Heard:
    """What was understood of a line. No weight stands beside a fault, and a fault is a sentence for a person."""

    number: str = ""
    weight: Weight | None = None
    flags: frozenset[Flag] = frozenset()
    fault: str = ""
    # A line about a weight, also where its weight can't be used.
    is_of_scale: bool = False

    def in_words(self) -> str:
        """What was understood, for the live view."""
        said = [self.number] if self.number else []
        said += [f"{self.weight.entered} {self.weight.unit}"] if self.weight else []
        return ", ".join([*said, *sorted(self.flags), *filter(None, [self.fault])])


def understand(line: Line, words: Words) -> Heard:
    """Read a line by the first pattern that fits the whole of it; nothing is searched for inside a line."""
    if line.fault:
        return Heard(fault=line.fault)
    for pattern in words.patterns:
        found = pattern.fullmatch(line.text)
        if found:
            return _read({name: text for name, text in found.groupdict().items() if text}, words)
    return Heard(fault=NOT_UNDERSTOOD)


def _read(parts: Mapping[str, str], words: Words) -> Heard:
    number = ""
    if "number" in parts:
        try:
            number = read_electronic(parts["number"]).number.digits
        except Unreadable as problem:
            return Heard(fault=problem.reason, is_of_scale="weight" in parts)
    if "weight" not in parts and "status" not in parts:
        return Heard(number)
    flag = words.flags.get(parts.get("status", "").strip().upper())
    flags = frozenset({flag} if flag else ())
    if _is_below_zero(parts, flags):
        flags |= {Flag.NEGATIVE}
    weight, fault = _weight(parts, words, flags)
    return Heard(number, weight, flags, fault, is_of_scale=True)


def _is_below_zero(parts: Mapping[str, str], flags: frozenset[Flag]) -> bool:
    return not flags & {Flag.OVERLOAD, Flag.ERROR} and bool(_NEGATIVE.fullmatch(parts.get("weight", "")))


def _weight(parts: Mapping[str, str], words: Words, flags: frozenset[Flag]) -> tuple[Weight | None, str]:
    """The weight of a line, or None with a reason where there is one; below zero is no weight and no fault."""
    if "weight" not in parts or flags & {Flag.OVERLOAD, Flag.ERROR, Flag.NEGATIVE}:
        return None, ""
    unit = words.unit
    if "unit" in parts:
        unit = find_unit(parts["unit"])
        if unit is None:
            return None, f"{shown(parts['unit'])} is no unit that is known here; lb and kg are."
    if unit is None:
        return None, "The line names no unit, and none is configured."
    try:
        # Blanks pad the figure on a line of a scale and group nothing there.
        text = parts["weight"].replace(" ", "").lstrip("+")
        return read_weight(text, unit, decimal_mark=words.decimal_mark).weight, ""
    except Unreadable as problem:
        # Nothing on the scale is no fault of the line.
        return (Weight(Decimal(0), unit), "") if problem.code == "zero" else (None, problem.reason)
