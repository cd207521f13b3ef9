"""When something happened, as the standard writes it: always an instant with its zone.

A day is written as noon of universal time, which is the same day on almost every clock, and read back as a day; so is
midnight, which is how many systems write a day.
"""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from herd.exchange.node import Node

NOON = time(12)
_MOMENT = re.compile(
    r"(\d{4}-\d{2}-\d{2})[Tt ](\d{2}:\d{2}(?::\d{2}(?:\.\d{1,9})?)?)\s?([Zz]|[+-]\d{2}:?\d{2})?"
)


@dataclass(frozen=True, slots=True)
class When:
    """A day with what is known of it: a moment, and how exact the day is."""

    on: date | None = None
    at: datetime | None = None
    precision: str = "unknown"


def say_when(when: When) -> str:
    """The instant as text; empty where the day is not known."""
    if when.at is not None:
        return say_moment(when.at)
    return say_day(when.on) if when.on else ""


def say_moment(at: datetime) -> str:
    """A moment in universal time."""
    return at.astimezone(UTC).isoformat().replace("+00:00", "Z")


def say_day(on: date) -> str:
    """A day as noon of universal time."""
    return datetime.combine(on, NOON, UTC).isoformat().replace("+00:00", "Z")


def read_when(node: Node, key: str, zone: ZoneInfo) -> When:
    """The day of an instant, in the zone of the outfit; a day where it is noon or midnight; raises BadValue."""
    text = node.text(key, 40).strip()
    if not text:
        return When()
    found = _MOMENT.fullmatch(text)
    try:
        if len(text) == 10:
            return When(date.fromisoformat(text), None, "day")
        if found is None:
            raise ValueError
        day, clock = date.fromisoformat(found[1]), time.fromisoformat(_in_microseconds(found[2]))
        if clock == time() or (clock == NOON and found[3] in ("Z", "z", "+00:00")):
            return When(day, None, "day")
        if not found[3]:
            raise node.refuse(key, "The time has no zone, so the moment is not known.")
        offset = "+00:00" if found[3] in "Zz" else found[3]
        moment = datetime.fromisoformat(f"{found[1]}T{_in_microseconds(found[2])}{offset}").astimezone(UTC)
        return When(moment.astimezone(zone).date(), moment, "instant")
    except (ValueError, OverflowError) as problem:
        if hasattr(problem, "pointer"):
            raise
        raise node.refuse(key, "This is no moment as 2026-03-14T09:30:00Z.") from problem


def _in_microseconds(clock: str) -> str:
    """A clock's time without the digits that no clock here keeps."""
    whole, point, rest = clock.partition(".")
    return f"{whole}.{rest[:6]:0<6}" if point else whole


def read_day(node: Node, key: str) -> date | None:
    """A day as 2026-03-14, None where none is said; raises BadValue."""
    text = node.text(key, 10)
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as problem:
        raise node.refuse(key, "This is no day as 2026-03-14.") from problem
