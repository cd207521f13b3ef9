"""Times of day and their distance from universal time, as they stand beside a date."""

import re
from dataclasses import dataclass
from datetime import time

from herd.values.cells import fold
from herd.values.problems import Unreadable, shown

_TIME = re.compile(
    r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]{1,9}))?)?"
    r"(?: ?([ap])\.? ?m\.?)?"
    r"(?: ?(z|utc|gmt|[+-][0-9]{2}(?::?[0-9]{2})?))?"
)
_LARGEST_OFFSET = 14 * 60


@dataclass(frozen=True, slots=True)
class TimeOfDay:
    """A time of day and, when it was written, its offset from universal time in minutes."""

    at: time
    offset: int | None = None


def read_time(text: str) -> time:
    """The time of day in a cell: 7:05, 07:05:33, 7:05 AM; raises Unreadable. An offset is left aside."""
    return read_time_of_day(text).at


def read_time_of_day(text: str) -> TimeOfDay:
    """The time of day with its offset (ISO 8601: Z, +hh:mm, +hhmm, +hh); raises Unreadable."""
    parts = _TIME.fullmatch(fold(text))
    if not parts:
        raise Unreadable(text, "not_time", f"{shown(text)} is not a time of day.")
    hour = _hour(text, int(parts[1]), parts[5])
    minute, second = int(parts[2]), int(parts[3] or 0)
    if hour > 23 or minute > 59 or second > 59:
        raise Unreadable(text, "impossible", f"{shown(text)} is not a time on any clock.")
    microsecond = int((parts[4] or "0")[:6].ljust(6, "0"))
    return TimeOfDay(time(hour, minute, second, microsecond), _offset(text, parts[6]))


def _hour(text: str, hour: int, half: str | None) -> int:
    if half is None:
        return hour
    if not 1 <= hour <= 12:
        raise Unreadable(text, "impossible", f"{shown(text)} is not a time on a twelve-hour clock.")
    return hour % 12 + (12 if half == "p" else 0)


def _offset(text: str, zone: str | None) -> int | None:
    if zone is None:
        return None
    if zone[0] not in "+-":
        return 0
    digits = zone[1:].replace(":", "").ljust(4, "0")
    minutes = int(digits[:2]) * 60 + int(digits[2:])
    if int(digits[2:]) > 59 or minutes > _LARGEST_OFFSET:
        raise Unreadable(text, "impossible", f"{shown(text)} has an offset used nowhere.")
    return -minutes if zone[0] == "-" else minutes
