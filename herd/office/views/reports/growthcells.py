"""Figures of growth as cells and as sentences that say how they were made."""

from dataclasses import dataclass
from decimal import Decimal

from herd.reports.growth import GainLine
from herd.values.figures import Amount, Figure, exact, round_half_up, say_parts


@dataclass(frozen=True, slots=True)
class ShownFigure:
    """A figure of a page: its name, its rounded value with the unit, its parts in words, and what it came from."""

    name: str
    value: Decimal
    figure: Figure
    parts: str


def show_figure(name: str, figure: Figure, places: int = 2) -> ShownFigure:
    """The figure, rounded once for the page, with its parts as "first weight 612 lb, days between 70"."""
    return ShownFigure(name, figure.rounded(places), figure, say_parts(figure, 2))


def round_weight(weight: Amount) -> Decimal:
    """A weight as weights are shown: whole from 100 up, to one decimal below."""
    value = exact(weight)
    return round_half_up(value, 0 if abs(value) >= 100 else 1)


def remark_of(line: GainLine) -> str:
    """What there is to know of a gain, in a sentence; empty where nothing speaks against it."""
    if line.reason:
        return line.reason
    if line.died_on:
        return "Died; it counts with the dead in only."
    return " ".join(one.text for one in line.per_day.cautions) if line.per_day else ""
