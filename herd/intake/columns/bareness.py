"""Columns of plain numbers without a heading: running numbers, visual tags or weights."""

from statistics import fmean, pstdev

from herd.intake.columns.evidence import CellEvidence

_LIGHTEST = 15
_EXPECTED_REPEATS = 3
_SPREAD_OF_WEIGHTS = 0.35
_FEW_VALUES = 3


def numeric_scores(cells: CellEvidence) -> dict[str, float]:
    """Scores (0 to 1) for "row_number", "vid" and "weight" of a column without a heading.

    Tags of a group differ from each other, weights repeat: numbers drawn at random from the same span would
    repeat a known number of times, and the repeats that are missing speak for tags.
    """
    if cells.is_running:
        return {"row_number": 0.8}
    if cells.shares["tube_code"] >= 0.9 and cells.one_length:
        return {"vid": 0.42}
    if cells.shares["vid"] < 0.9 or cells.distinct < min(2, cells.filled):
        return {"weight": 0.55} if cells.has_fractions and cells.shares["weight"] >= 0.8 else {}
    if cells.has_fractions:
        return {"weight": 0.6} if cells.shares["weight"] >= 0.8 else {}
    if cells.has_leading_zeros or len(cells.numbers) < 0.9 * cells.filled:
        return {"vid": 0.6} if cells.uniqueness >= 0.8 else {}
    return _whole_numbers(cells)


def _whole_numbers(cells: CellEvidence) -> dict[str, float]:
    may_be_weights = cells.shares["weight"] >= 0.9 and min(cells.numbers) >= _LIGHTEST
    expected = _expected_uniqueness(cells)
    repeats_expected = (1 - expected) * cells.filled
    if repeats_expected >= _EXPECTED_REPEATS:
        if 1 - cells.uniqueness < 0.5 * (1 - expected):
            return {"vid": 0.6}
        return {"weight": 0.5} if may_be_weights and cells.distinct > _FEW_VALUES else {}
    if cells.uniqueness < 0.8:
        return {"weight": 0.45} if may_be_weights and cells.distinct > _FEW_VALUES else {}
    mean = fmean(cells.numbers)
    if may_be_weights and mean and float(pstdev(cells.numbers)) / mean < _SPREAD_OF_WEIGHTS:
        return {"weight": 0.45, "vid": 0.43}
    return {"vid": 0.5}


def _expected_uniqueness(cells: CellEvidence) -> float:
    """The share of distinct values among as many random draws from the span of the numbers."""
    span = int(max(cells.numbers) - min(cells.numbers)) + 1
    return span * (1 - (1 - 1 / span) ** cells.filled) / cells.filled
