"""The head of an outfit through a time, by class."""

from collections import Counter
from collections.abc import Sequence
from datetime import date

from herd.office.plots import Plot, Series
from herd.office.saying import say_day
from herd.office.tables import Cell
from herd.reports.statement import Statement, head_by_day

PLURALS = {"calf": "calves", "unknown": "class not known"}
# More lines than these can't be told apart; the smallest classes stand in the table alone.
MOST_LINES = 5


def plural_of(name: str) -> str:
    """A class of the statement in the plural."""
    return PLURALS.get(name, f"{name}s")


def plot_of_head(statement: Statement) -> Plot:
    """All head and the largest classes, day by day; the table has the end of each month."""
    by_day = _to_the_end(head_by_day(statement), statement.last)
    days = list(by_day)
    most = {name: max(head[name] for head in by_day.values()) for name in statement.by_class}
    names = sorted(most, key=lambda name: -most[name])
    lines = [Series("all head", [head.total() for head in by_day.values()], "steps")]
    lines += [
        Series(plural_of(name), [head[name] for head in by_day.values()], "steps") for name in names[:MOST_LINES]
    ]
    ends = _month_ends(days)
    rows: list[Sequence[Cell]] = [(day, by_day[day].total(), *(by_day[day][name] for name in names)) for day in ends]
    first, last = by_day[days[0]].total(), by_day[days[-1]].total()
    says = f"Head from {say_day(statement.first)} to {say_day(statement.last)}: {first} before, {last} at the end."
    columns = ("End of", "all", *map(plural_of, names))
    return Plot("head", "Head through the time", says, days, lines, "head", columns, rows)


def _to_the_end(by_day: dict[date, Counter[str]], last: date) -> dict[date, Counter[str]]:
    """The days with the last one of the time, on which the head is what it was."""
    latest = by_day[max(by_day)]
    return {**by_day, last: by_day.get(last, latest)}


def _month_ends(days: list[date]) -> list[date]:
    """The last of the days in each month, and the first one of all."""
    ends = {(day.year, day.month): day for day in days}
    return sorted({days[0], *ends.values()})
