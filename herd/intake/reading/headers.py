"""Judging whether a row names columns: evidence per column, as log odds of a name against one more value."""

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from math import log

from herd.intake.reading.cells import CODE, DATE, EMPTY, MISSING, NUMBER, TEXT, TYPED, kind_of, shape_of
from herd.intake.reading.words import header_words

# How often names of columns and values of columns look like this; only the order of size matters.
_NAMES = {TEXT: 0.86, CODE: 0.05, EMPTY: 0.05, NUMBER: 0.02, DATE: 0.01, MISSING: 0.01}
_VALUES = {TEXT: 0.35, CODE: 0.12, EMPTY: 0.1, NUMBER: 0.28, DATE: 0.12, MISSING: 0.03}
_NAME_SHAPES = frozenset({"a", "A", "Aa", "a a", "A A", "a_a", "A_A", "a.a", "Aa a", "a a a", "A a", "a_a_a"})
_MOST_ROWS = 120
_PRIOR = 1.0
_FEW = 0.15


@dataclass(slots=True)
class Column:
    """What the values of one column look like: counts of kinds, shapes and values, and lengths."""

    kinds: Counter[str]
    shapes: Counter[str]
    values: Counter[str]
    count: int
    length: float
    spread: float

    @property
    def usual_kind(self) -> str:
        """The kind most of its filled cells have; empty when none is filled."""
        written = [(count, kind) for kind, count in self.kinds.items() if kind not in (EMPTY, MISSING)]
        return max(written)[1] if written else EMPTY

    @property
    def is_typed(self) -> bool:
        """True when nearly all its filled cells are numbers or dates."""
        written = sum(count for kind, count in self.kinds.items() if kind not in (EMPTY, MISSING))
        return written > 0 and sum(self.kinds[kind] for kind in TYPED) >= 0.9 * written


def columns_of(rows: list[list[str]], width: int) -> list[Column]:
    """What each of the first `width` columns looks like, from the first rows."""
    columns = []
    for place in range(width):
        values = [row[place].strip() for row in rows[:_MOST_ROWS] if place < len(row)]
        written = [value for value in values if value]
        lengths = [len(value) for value in written] or [0]
        mean = sum(lengths) / len(lengths)
        spread = (sum((length - mean) ** 2 for length in lengths) / len(lengths)) ** 0.5
        columns.append(
            Column(
                Counter(map(kind_of, values)),
                Counter(map(shape_of, written)),
                Counter(written),
                len(values),
                mean,
                spread,
            )
        )
    return columns


def header_odds(row: list[str], columns: list[Column]) -> float:
    """Log odds that `row` names the columns rather than being one more data row; above 0 is a header."""
    cells = [cell.strip() for cell in row]
    series = series_of(cells, columns)
    total = _PRIOR + sum(
        1.5 if place in series else _cell_odds(cell, column)
        for place, (cell, column) in enumerate(zip(cells, columns, strict=False))
    )
    named = [cell for cell in cells if cell]
    if len(set(named)) < len(named):
        total -= 0.4
    if cells and not cells[-1] and not any(cells[len(cells) // 2 :]):
        total -= 1.0
    return total


def is_short_number(cell: str) -> bool:
    """True for a whole number as years, days and turns are written, which columns may be called by."""
    return len(cell) <= 4 and cell.isdecimal()


def series_of(cells: list[str], columns: list[Column]) -> frozenset[int]:
    """Places of whole numbers that rise from left to right as years, days or turns do that columns are called by.

    They must be years over figures that are none, or be written unlike the figures below; there must be a name beside
    them, since a list may begin with tags that rise; and the row below must not be one more such row.
    """
    places = [place for place, cell in enumerate(cells[: len(columns)]) if is_short_number(cell)]
    names, below = [cells[place] for place in places], [columns[place] for place in places]
    count = sum(column.count for column in below)
    if not _rises(names) or len(places) == len(cells) or not count:
        return frozenset()
    if all(map(_is_year, names)):
        alike = sum(times for column in below for cell, times in column.values.items() if _is_year(cell))
    elif _rises([next(iter(column.values), "") for column in below]):
        return frozenset()
    else:
        alike = sum(column.shapes[shape_of(name)] for name, column in zip(names, below, strict=True))
    return frozenset(places) if alike <= _FEW * count else frozenset()


def _is_year(text: str) -> bool:
    return is_short_number(text) and 1900 <= int(text) < 2100


def _rises(numbers: list[str]) -> bool:
    """True when these are two or more whole numbers that each exceed the one before."""
    if len(numbers) < 2 or not all(number.isdecimal() for number in numbers):
        return False
    return all(int(one) < int(other) for one, other in pairwise(numbers))


def _cell_odds(cell: str, column: Column) -> float:
    kind = kind_of(cell)
    if kind == EMPTY and column.kinds[EMPTY] == column.count:
        return 0.0
    share = (column.kinds[kind] + 1.5 * _VALUES[kind]) / (column.count + 1.5)
    odds = _clipped(log(_NAMES[kind] / share), 3.0)
    if kind in (TEXT, CODE) and column.count and column.usual_kind in (TEXT, CODE):
        odds = _clipped(odds, 1.5) + _value_odds(cell, column) + 0.5 * _shape_odds(cell, column)
    words = header_words(cell)
    if words and cell not in column.values:
        odds += 1.2
    if len(cell) > 60 and column.length > 20:
        odds -= 0.8
    return _clipped(odds, 4.0)


def _value_odds(cell: str, column: Column) -> float:
    """A value seen again below speaks against a name; one unseen in a column of few values speaks for it."""
    if cell in column.values:
        return _clipped(log(0.03 / (column.values[cell] / column.count)), 3.0)
    singles = sum(1 for count in column.values.values() if count == 1)
    return _clipped(log(0.97 / ((singles + 0.7) / (column.count + 0.7))), 2.0)


def _shape_odds(cell: str, column: Column) -> float:
    shape = shape_of(cell)
    singles = sum(1 for count in column.shapes.values() if count == 1)
    seen = column.shapes[shape] or singles / 2
    name = 0.25 if shape in _NAME_SHAPES else 0.04
    odds = _clipped(log(name / ((seen + 0.3) / (column.count + 0.6))), 1.5)
    if column.count >= 5 and abs(len(cell) - column.length) > 2.5 * max(column.spread, 1.0):
        odds += 0.8
    return odds


def _clipped(value: float, most: float) -> float:
    return max(-most, min(most, value))


def is_further_header(row: list[str], columns: list[Column], first_odds: float) -> bool:
    """True when the row under a header names columns too: no value in it where the columns hold values."""
    typed = [place for place, column in enumerate(columns) if column.is_typed and place < len(row)]
    kinds = [kind_of(row[place]) for place in typed]
    if any(kind in TYPED for kind in kinds):
        return False
    texts = sum(1 for kind in kinds if kind in (TEXT, CODE))
    odds = header_odds(row, columns)
    if typed:
        return texts >= max(1, len(typed) / 2) and odds > 1.0
    # A data row whose cells have slipped by one column holds values that are known from other columns.
    known = sum(1 for cell in row if any(cell.strip() in column.values for column in columns))
    return odds > 5.0 and odds > 0.6 * first_odds and known < 0.25 * len(row)
