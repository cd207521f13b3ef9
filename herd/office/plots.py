"""A plot of a page: what is drawn, what is said of it aloud, and the same figures as a table."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from herd.office.tables import Cell
from herd.values.figures import round_half_up
from herd.values.spread import Spread

Amount = int | Decimal | Fraction
EPOCH = date(1970, 1, 1)
A_DAY = 86_400
# The plot shows a day at its noon, so that no time zone moves it to another.
NOON = 43_200


@dataclass(frozen=True, slots=True)
class Series:
    """Figures along a plot, None where there is none.

    `shape` is line, steps, points, bars, low or high (of a band), or a part of a box.
    """

    label: str
    values: Sequence[Amount | None]
    shape: str = "line"


@dataclass(frozen=True, slots=True)
class Linked:
    """A figure of the table that leads to the animals behind it."""

    words: Cell
    address: str


@dataclass(frozen=True, slots=True)
class Plot:
    """A plot. `name` is its id on the page, `says` is read aloud in its place, `rows` are its table.

    `places` are days, figures, or names; a name stands for a place of its own on the axis.
    """

    name: str
    title: str
    says: str
    places: Sequence[date] | Sequence[Amount] | Sequence[str]
    series: Sequence[Series]
    unit: str
    columns: Sequence[str]
    rows: Sequence[Sequence[Cell | Linked]]
    place_label: str = "Day"
    from_zero: bool = True

    @property
    def is_drawn(self) -> bool:
        """Whether there is a line to follow; of names one is enough to be drawn."""
        return len(self.places) > (0 if self.axis == "name" else 1)

    @property
    def axis(self) -> str:
        """What stands along the plot: day, name or number."""
        first = self.places[0] if self.places else None
        return "day" if isinstance(first, date) else "name" if isinstance(first, str) else "number"

    @property
    def table(self) -> list[list[tuple[str, Cell | Linked]]]:
        """The rows, each cell beside the name of its column."""
        return [list(zip(self.columns, row, strict=True)) for row in self.rows]

    @property
    def data(self) -> dict[str, Any]:
        """What the script draws, as plain JSON values."""
        return {
            "axis": self.axis,
            "places": [_place(at, one) for at, one in enumerate(self.places)],
            "names": list(self.places) if self.axis == "name" else [],
            "placeLabel": self.place_label,
            "unit": self.unit,
            "fromZero": self.from_zero,
            "series": [
                {"label": one.label, "shape": one.shape, "values": [_number(value) for value in one.values]}
                for one in self.series
            ],
        }


def _place(at: int, place: date | Amount | str) -> float:
    if isinstance(place, date):
        return (place - EPOCH).days * A_DAY + NOON
    return at + 1 if isinstance(place, str) else float(place)


def _number(value: Amount | None) -> float | None:
    """A figure as the screen needs it; the table has it whole."""
    return None if value is None else round(float(value), 3)


FIVE = ("lowest", "lower quarter", "middle", "upper quarter", "highest")


def boxes(
    name: str, title: str, says: str, spreads: Mapping[str, Spread], unit: str, behind: Mapping[str, str] | None = None
) -> Plot:
    """A box for each name, from quarter to quarter with the middle, and a line from the lowest to the highest.

    `behind` has the address of the animals of each name.
    """
    fives = [(one.low, one.lower, one.middle, one.upper, one.high) for one in spreads.values()]
    series = [Series(words, [five[at] for five in fives], words) for at, words in enumerate(FIVE)]
    rows: list[Sequence[Cell | Linked]] = []
    for at, ((words, one), five) in enumerate(zip(spreads.items(), fives, strict=True), start=1):
        figures: list[Cell] = [one.head, *(round_half_up(figure, 1) for figure in five)]
        address = (behind or {}).get(words)
        rows.append([f"{at} {words}", *(Linked(each, address) if address else each for each in figures)])
    columns = ("Of", "head", *FIVE)
    return Plot(name, title, says, list(spreads), series, unit, columns, rows, place_label="Of", from_zero=False)
