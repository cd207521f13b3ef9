"""When something happened by a device's clocks, which may be wrong: both times are kept, none is believed blindly."""

from dataclasses import dataclass
from datetime import datetime, timedelta

# A clock ahead of ours by more than this is wrong; a steady and a wall clock further apart than this disagree.
AHEAD = timedelta(minutes=10)
APART = timedelta(minutes=2)
# No device stays on for longer; what a steady clock says beyond that is no time.
LONGEST_MS = 10 * 366 * 24 * 3_600_000


@dataclass(frozen=True, slots=True)
class Clock:
    """A device's clocks at one moment: the wall clock, and milliseconds since it was started (its `boot`)."""

    at: datetime
    mono_ms: int | None = None
    boot: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """When it happened as far as we can tell, and what is doubtful about that; `note` is empty where nothing is."""

    at: datetime
    note: str = ""


def corrected(happened: Clock, contact: Clock, now: datetime) -> Told:
    """When it happened by our clock; `contact` is what the device's clocks showed when it called, `now` ours then.

    Within one start of the device the steady clock tells how long ago it was, whatever the wall clock says.
    Otherwise the wall clock is moved by as much as it is off at the contact. Times that can't be are set to now.
    """
    by_wall = happened.at + (now - contact.at)
    told, note = by_wall, ""
    same_start = happened.boot and happened.boot == contact.boot
    if same_start and happened.mono_ms is not None and contact.mono_ms is not None:
        ago_ms = contact.mono_ms - happened.mono_ms
        told = now - timedelta(milliseconds=ago_ms) if 0 <= ago_ms <= LONGEST_MS else by_wall
        if abs(told - by_wall) > APART:
            note = "The device's two clocks disagree."
    off = contact.at - now
    if abs(off) > APART:
        note = note or f"The device's clock is {_words(off)}."
    if told > now + AHEAD:
        return Told(now, "The device dated it in the future.")
    return Told(min(told, now), note)


def _words(off: timedelta) -> str:
    minutes = round(abs(off).total_seconds() / 60)
    far = f"{minutes} minutes" if minutes < 120 else f"{round(minutes / 60)} hours"
    return f"{far} {'ahead' if off > timedelta(0) else 'behind'}"
