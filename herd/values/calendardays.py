"""The shapes of a date: how exactly it is known, the order of its parts, and the date as read."""

from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum


class DatePrecision(StrEnum):
    """How exactly a date is known."""

    INSTANT = "instant"
    DAY = "day"
    MONTH = "month"
    YEAR = "year"
    UNKNOWN = "unknown"


class DayOrder(StrEnum):
    """The order in which day, month and year are written with digits."""

    DMY = "DMY"
    MDY = "MDY"
    YMD = "YMD"


@dataclass(frozen=True, slots=True)
class FieldDate:
    """A date from the field; `day` is the first day of a month or year known no closer.

    `at` is the local time for an instant; `offset` its distance from universal time in minutes when written.
    """

    day: date
    precision: DatePrecision
    at: time | None = None
    offset: int | None = None
