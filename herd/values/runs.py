"""Runs of consecutive numbers, as tags are sold in: first to last, counted and cut by arithmetic alone."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from herd.values.problems import Unreadable, shown

_PARTS = re.compile(r"(|.*[^0-9])([0-9]{1,18})([^0-9]*)", re.DOTALL)
# More than this in one box is a slip of the digits.
MOST_NUMBERS = 1_000_000


@dataclass(frozen=True, slots=True)
class Run:
    """Numbers from `low` to `high`, both included, between the same leading and trailing signs.

    `width` is the count of digits that zeros fill up: the numbers of 001 to 120 have three, those of 1 to 120
    one, two or three.
    """

    stem: str
    low: int
    high: int
    tail: str = ""
    width: int = 1

    def __len__(self) -> int:
        return max(0, self.high - self.low + 1)

    def number(self, value: int) -> str:
        """The number that stands for a value of the run."""
        return f"{self.stem}{value:0{self.width}d}{self.tail}"

    @property
    def first(self) -> str:
        """The first number as it is printed."""
        return self.number(self.low)

    @property
    def last(self) -> str:
        """The last number as it is printed."""
        return self.number(self.high)

    def value_of(self, number: str) -> int | None:
        """The value of a number of the run, or None for one that is not in it."""
        parts = _PARTS.fullmatch(number)
        if parts is None or (parts[1], parts[3]) != (self.stem, self.tail):
            return None
        value = int(parts[2])
        return value if self.low <= value <= self.high and self.number(value) == number else None

    def ending_in(self, digits: str) -> str:
        """The one number of the run that ends in these digits; empty where there is none, or more than one."""
        step = 10 ** len(digits)
        first = self.low + (int(digits) - self.low) % step
        if self.tail or first > self.high or first + step <= self.high:
            return ""
        number = self.number(first)
        return number if number.endswith(digits) else ""

    def part(self, low: int, high: int) -> "Run":
        """The piece of the run between two values."""
        return replace(self, low=max(low, self.low), high=min(high, self.high))

    def even_pieces(self) -> Iterator["Run"]:
        """The run cut where its numbers grow longer; within a piece, order as text is order as numbers."""
        low = self.low
        while low <= self.high:
            digits = max(self.width, len(str(low)))
            high = min(self.high, 10**digits - 1)
            yield replace(self, low=low, high=high)
            low = high + 1

    def overlaps(self, other: "Run") -> bool:
        """Whether a number lies in both; 7 and 007 are two numbers."""
        if (self.stem, self.tail) != (other.stem, other.tail):
            return False
        low, high = max(self.low, other.low), min(self.high, other.high)
        if low > high:
            return False
        return self.width == other.width or high >= 10 ** (max(self.width, other.width) - 1)

    def boxes_of(self, size: int) -> Iterator["Run"]:
        """The run cut into boxes of a size; the last may hold fewer."""
        for low in range(self.low, self.high + 1, size):
            yield replace(self, low=low, high=min(low + size - 1, self.high))


def series_of(number: str) -> tuple[str, str]:
    """The signs before and after the last digits of a number, which the numbers of a series share."""
    parts = _PARTS.fullmatch(number)
    return (parts[1], parts[3]) if parts else (number, "")


def read_run(first: str, last: str) -> Run:
    """The run between two numbers; raises Unreadable where they belong to no one run, or to one too long."""
    start, end = _PARTS.fullmatch(first), _PARTS.fullmatch(last)
    refusal = Unreadable(last, "no_run", f"A box can't run from {first} to {last}.")
    if not start or not end or (start[1], start[3]) != (end[1], end[3]) or int(start[2]) > int(end[2]):
        raise refusal
    is_even = len(start[2]) == len(end[2])
    has_zeros = start[2].startswith("0") and start[2] != "0"
    if not is_even and (has_zeros or len(start[2]) > len(end[2])):
        raise refusal
    run = Run(start[1], int(start[2]), int(end[2]), start[3], len(start[2]))
    if len(run) > MOST_NUMBERS:
        reason = f"{shown(first)} to {shown(last)} are {len(run):,} numbers, more than any box holds."
        raise Unreadable(last, "run_too_long", reason)
    return run
