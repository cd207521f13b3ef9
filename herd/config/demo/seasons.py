"""The demo's calendar: three years of seasons that end with a working day a few days ago."""

from dataclasses import dataclass
from datetime import date, timedelta

DAYS_BEFORE_TODAY = 4
# Days from the first calf to the working day; calves are weaned at 160 to 250 days (Beef Improvement Federation).
EARLIEST, LATEST = 235, 295
MIDDLE_OF_CALVING = 25


@dataclass(frozen=True, slots=True)
class Season:
    """One year's days of work, from the first calf to the last load shipped."""

    year: int
    calving: date
    branding: date
    summer: date
    weaning: date
    shipping: date
    yearling: date


@dataclass(frozen=True, slots=True)
class Seasons:
    """The day the herd list was entered, the seasons since, and the day that waits in review."""

    started: date
    years: tuple[Season, ...]
    working: date

    @property
    def now(self) -> Season:
        """The season that is not over."""
        return self.years[-1]


def seasons_before(today: date) -> Seasons:
    """Return three seasons of which the last has come to its weaning, so that the demo is always this season.

    In fall calving began on 5 February; at other times of the year the calendar is moved so that the calves of
    the working day are of an age to be weaned.
    """
    working = today - timedelta(days=DAYS_BEFORE_TODAY)
    # On the fifth of May day and month could not be told apart, and nothing would be left to ask.
    if working.day == working.month:
        working -= timedelta(days=1)
    calving = date(working.year, 2, 5)
    if not EARLIEST <= (working - calving).days <= LATEST:
        calving = working - timedelta(days=EARLIEST + 15)
    years = tuple(_season(_years_before(calving, back)) for back in (2, 1, 0))
    return Seasons(started=years[0].calving - timedelta(days=70), years=years, working=working)


def _years_before(day: date, back: int) -> date:
    return date(day.year - back, day.month, min(day.day, 28) if day.month == 2 else day.day)


def _season(calving: date) -> Season:
    return Season(
        year=(calving + timedelta(days=MIDDLE_OF_CALVING)).year,
        calving=calving,
        branding=calving + timedelta(days=98),
        summer=calving + timedelta(days=130),
        weaning=calving + timedelta(days=250),
        shipping=calving + timedelta(days=272),
        yearling=calving + timedelta(days=400),
    )
