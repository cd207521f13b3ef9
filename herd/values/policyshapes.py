"""The shapes a policy's value can have: how each is written, read back and said."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from herd.values.policy import BreedValue, DamAge, DayWindow, StartRule
from herd.values.problems import Unreadable, shown

MOST_ROWS = 40
LONGEST_BREED = 60


class Shape(StrEnum):
    """What a value is made of."""

    NUMBER = "number"
    WEIGHT = "weight"
    WINDOW = "window"
    CHOICE = "choice"
    BREEDS = "breeds"
    DAMS = "dams"


@dataclass(frozen=True, slots=True)
class Limits:
    """The least and the most a number may be, both included."""

    least: Decimal
    most: Decimal

    def __str__(self) -> str:
        return f"{self.least} to {self.most}"


def read_number(text: str, limits: Limits) -> Decimal:
    """A number inside its limits; raises Unreadable."""
    inner = text.strip().replace(",", ".")
    if not re.fullmatch(r"[0-9]{1,6}(?:\.[0-9]{1,6})?", inner):
        raise Unreadable(text, "not_a_number", f"{shown(text)} is not a number; give one such as {limits.least}.")
    number = Decimal(inner)
    if not limits.least <= number <= limits.most:
        raise Unreadable(text, "out_of_range", f"{inner} is outside {limits}, so it can hardly be meant.")
    return number


def read_whole(text: str, limits: Limits) -> int:
    """A whole number inside its limits; raises Unreadable."""
    number = read_number(text, limits)
    if number != int(number):
        raise Unreadable(text, "not_whole", f"{shown(text)} has to be a whole number.")
    return int(number)


def read_window(text: str, limits: Limits) -> DayWindow:
    """Days from first to last, as in 160 to 250; raises Unreadable."""
    parts = re.fullmatch(r"\s*([0-9.,]+)\s*(?:to|-|–)\s*([0-9.,]+)\s*", text)
    if not parts:
        raise Unreadable(text, "not_a_window", f"{shown(text)} names no two days; write it as 160 to 250.")
    first, last = (read_whole(part, limits) for part in parts.groups())
    if first > last:
        raise Unreadable(text, "backwards", f"{first} to {last} runs backwards; the smaller number comes first.")
    return DayWindow(first, last)


def read_breeds(text: str, limits: Limits) -> tuple[BreedValue, ...]:
    """A breed and its number on each line; raises Unreadable naming the line."""
    rows = []
    for number, line in _lines(text):
        breed, _, value = line.rpartition(" ")
        if not breed.strip() or len(breed) > LONGEST_BREED:
            raise _in_line(number, line, "write a breed and its number, as in Angus 281")
        rows.append(BreedValue(" ".join(breed.split()), _cell(number, value, limits)))
    names = [row.breed.casefold() for row in rows]
    twice = next((row.breed for row in rows if names.count(row.breed.casefold()) > 1), "")
    if twice:
        raise Unreadable(text, "twice", f"{twice} stands on two lines.")
    return tuple(rows)


def read_dams(text: str, limits: Limits) -> tuple[DamAge, ...]:
    """On each line the dam's age in years, and pounds added at birth, to males, to heifers; raises Unreadable."""
    rows = []
    for number, line in _lines(text):
        cells = re.split(r"[\s,;]+", line.strip(" ,;"))
        if len(cells) != 4:
            raise _in_line(number, line, "four numbers are needed: years, birth, males, heifers")
        years = _cell(number, cells[0], Limits(Decimal(1), Decimal(20)))
        if years * 12 != int(years * 12):
            raise _in_line(number, line, "the age has to come out in whole months")
        rows.append(DamAge(int(years * 12), *(_cell(number, cell, limits) for cell in cells[1:])))
    if not rows:
        raise Unreadable(text, "empty", "At least one line is needed.")
    months = [row.from_months for row in rows]
    if months != sorted(set(months)):
        raise Unreadable(text, "order", "The ages have to rise from line to line, each named once.")
    return tuple(rows)


def _lines(text: str) -> list[tuple[int, str]]:
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if len(lines) > MOST_ROWS:
        raise Unreadable(text, "too_many", f"{len(lines)} lines are too many; {MOST_ROWS} is the most.")
    return lines


def _cell(number: int, text: str, limits: Limits) -> Decimal:
    try:
        return read_number(text, limits)
    except Unreadable as problem:
        raise Unreadable(problem.value, problem.code, f"Line {number}: {problem.reason}") from problem


def _in_line(number: int, line: str, what: str) -> Unreadable:
    return Unreadable(line, "line", f"Line {number}, {shown(line)}: {what}.")


def plain_number(number: Decimal | int) -> str:
    """A number without needless zeros."""
    return f"{Decimal(number).normalize():f}"


def write_value(value: Any) -> str:
    """The value as it is typed and kept; reading it gives the same value again."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, DayWindow):
        return f"{value.first} to {value.last}"
    if isinstance(value, tuple):
        return "\n".join(_row(one) for one in value)
    return str(value) if isinstance(value, str) else plain_number(value)


def _row(one: BreedValue | DamAge) -> str:
    if isinstance(one, BreedValue):
        return f"{one.breed} {plain_number(one.value)}"
    cells = (Decimal(one.from_months) / 12, one.birth, one.weaning_male, one.weaning_female)
    return ", ".join(map(plain_number, cells))


YES_NO: Mapping[str, str] = {"yes": "yes", "no": "no"}
START_RULES: Mapping[str, str] = {
    StartRule.BREEDING: "so many days after breeding began",
    StartRule.THIRD_CALF: "the day the third calf was born",
    StartRule.THIRD_MATURE_COW: "the day the third mature cow calved",
}
CHOICE_TYPES: tuple[tuple[Mapping[str, str], Callable[[str], Any]], ...] = (
    (YES_NO, lambda word: word == "yes"),
    (START_RULES, StartRule),
)


def read_choice(text: str, words: Mapping[str, str]) -> Any:
    """One of a few words as the policy holds it; raises Unreadable for another."""
    if text.strip() not in words:
        raise Unreadable(text, "not_a_choice", f"{shown(text)} is none of: {', '.join(words.values())}.")
    return next(make for known, make in CHOICE_TYPES if known is words)(text.strip())
