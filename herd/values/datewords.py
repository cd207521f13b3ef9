"""Dates with the month in words or left without a day, and the years that may be meant by two digits."""

import re
from datetime import date, timedelta

from herd.values.calendardays import DatePrecision, FieldDate
from herd.values.months import MONTHS
from herd.values.problems import Unreadable, shown

_EARLIEST = 1900
_YEARS_AHEAD = 2
_WORD = r"([a-z]{3,10})\.?"
_DAY_FIRST = re.compile(
    rf"([0-9]{{1,2}})(?:st|nd|rd|th|er|\.|o)?[ \-/.]*(?:de |of )?{_WORD}"
    r"(?: de| del|,)?[ \-/.,]*([0-9]{4}|[0-9]{2})"
)
_MONTH_FIRST = re.compile(rf"{_WORD}[ \-/.]*([0-9]{{1,2}})(?:st|nd|rd|th)?[ \-/.,]+([0-9]{{4}}|[0-9]{{2}})")
_YEAR_FIRST = re.compile(rf"([0-9]{{4}})[ \-/.,]*{_WORD}[ \-/.]*([0-9]{{1,2}})")
_MONTH_AND_YEAR = re.compile(rf"{_WORD}(?: de| del|,)?[ \-/.,]*([0-9]{{4}})")
_NO_YEAR = re.compile(rf"[0-9]{{1,2}}[ \-/.]*{_WORD}|{_WORD}[ \-/.]*[0-9]{{1,2}}")
_YEAR = re.compile(r"[0-9]{4}")
_YEAR_MONTH = re.compile(r"([0-9]{4})[\-/.]([0-9]{1,2})|([0-9]{1,2})[\-/.]([0-9]{4})")


def read_partial(text: str, written: str, today: date) -> FieldDate | None:
    """The date of a writing such as "14 Mar 2026", "March 2026", "2026-03" or "2026", else None.

    `written` is folded text. Raises Unreadable for impossible days and for a day and month without a year.
    """
    named = _named_day(text, written, today)
    if named:
        return named
    month = _MONTH_AND_YEAR.fullmatch(written)
    if month and month[1] in MONTHS:
        return FieldDate(checked_day(text, (int(month[2]), MONTHS[month[1]], 1), today), DatePrecision.MONTH)
    digits = _YEAR_MONTH.fullmatch(written)
    if digits:
        year, number = int(digits[1] or digits[4]), int(digits[2] or digits[3])
        return FieldDate(checked_day(text, (year, number, 1), today), DatePrecision.MONTH)
    if _YEAR.fullmatch(written):
        return FieldDate(checked_day(text, (int(written), 1, 1), today), DatePrecision.YEAR)
    bare = _NO_YEAR.fullmatch(written)
    if bare and (bare[1] or bare[2]) in MONTHS:
        raise Unreadable(text, "no_year", f"{shown(text)} names no year; a spreadsheet may have cut it off.")
    return None


def full_year(digits: str, month: int, day: int, today: date) -> int:
    """The year meant by two or four digits.

    Two digits mean this century unless the day would lie more than a year ahead of today; then the last one.
    """
    if len(digits) == 4:
        return int(digits)
    year = today.year - today.year % 100 + int(digits)
    if (year, month, day) > (today.year + 1, today.month, today.day):
        return year - 100
    return year


def checked_day(text: str, parts: tuple[int, int, int], today: date) -> date:
    """The day of year, month and day; raises Unreadable when it never was or is out of reach."""
    try:
        day = date(*parts)
    except ValueError:
        raise Unreadable(text, "impossible", f"{shown(text)} is not a day in any calendar.") from None
    return in_reach(text, day, today)


def in_reach(text: str, day: date, today: date) -> date:
    """The same day; raises Unreadable when it lies before 1900 or more than two years ahead."""
    if day.year < _EARLIEST or day > today + timedelta(days=366 * _YEARS_AHEAD):
        reason = f"{shown(text)} is {day.isoformat()}, too long ago or too far ahead for a herd record."
        raise Unreadable(text, "out_of_range", reason)
    return day


def _named_day(text: str, written: str, today: date) -> FieldDate | None:
    for pattern, (day_at, month_at, year_at) in (
        (_DAY_FIRST, (1, 2, 3)),
        (_MONTH_FIRST, (2, 1, 3)),
        (_YEAR_FIRST, (3, 2, 1)),
    ):
        parts = pattern.fullmatch(written)
        if parts and parts[month_at] in MONTHS:
            day, month = int(parts[day_at]), MONTHS[parts[month_at]]
            year = full_year(parts[year_at], month, day, today)
            return FieldDate(checked_day(text, (year, month, day), today), DatePrecision.DAY)
    return None
