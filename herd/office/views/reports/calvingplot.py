"""The calves of a season day by day."""

from collections.abc import Callable, Sequence
from datetime import date, timedelta

from herd.office.plots import Linked, Plot, Series
from herd.office.saying import say_day
from herd.office.tables import Cell
from herd.reports.calving import Births, Season


def plot_of_calves(season: Season, address: Callable[[date], str]) -> Plot:
    """Calves born on each day, days without any among them; `address` leads to the dams of a day."""
    by_day = season.by_day()
    days = _every_day(by_day)
    born = sum(one.total for one in by_day.values())
    busiest = max(by_day, key=lambda day: by_day[day].total, default=None)
    says = f"Calves by day: {born} in all."
    if busiest:
        says = f"Calves by day: {born} in all, the most on {say_day(busiest)} with {by_day[busiest].total}."
    calves = Series("born", [by_day[day].total if day in by_day else 0 for day in days], "bars")
    return Plot("calves", "Calves by day", says, days, [calves], "calves", *_table(by_day, address))


def _table(
    by_day: dict[date, Births], address: Callable[[date], str]
) -> tuple[Sequence[str], Sequence[Sequence[Cell | Linked]]]:
    so_far = 0
    rows: list[Sequence[Cell | Linked]] = []
    for day, births in by_day.items():
        so_far += births.total
        rows.append((day, Linked(births.total, address(day)), births.live, births.dead, so_far))
    return ("Day", "born", "live", "dead", "so far"), rows


def _every_day(by_day: dict[date, Births]) -> list[date]:
    if not by_day:
        return []
    first, last = min(by_day), max(by_day)
    return [first + timedelta(days=ahead) for ahead in range((last - first).days + 1)]
