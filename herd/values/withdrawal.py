"""Meat withdrawal: until when an animal is held by what it was given, and what the label asks of the one who gives it.

All of this is arithmetic on what was entered, never advice: the label and the veterinarian say how many days
there are, and whatever was used off its label has no days but those that a veterinarian sets (FDA 21 CFR 530.3;
FAAST Reviews).
"""

from calendar import monthrange
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

MOST_DAYS = 1_000
"""No label comes near it; more is a slip of the hand."""

LONGEST_COURSE = 60
"""Days from the first dose to the last (common practice, no source)."""

UNKNOWN_DAYS = 365
"""How long a medicine without entered days is told as not known. Labelled meat times run from 0 to 60 days
(dairy-cattle.extension.org); a year leaves room for what a veterinarian may have set. Our choice, no source."""

EXTRA_LABEL = "extra-label"


def free_from(last_given_on: date, days: int) -> date:
    """The first day on which the animal is free, for a withdrawal of `days` of 24 hours each.

    The hours count from the last time it was given (FDA Compliance Policy Guide 615.200: withdrawal follows
    the last treatment; the full 24 hours from memory). Where only the date is known the last minute of that
    day has to be taken, so the animal is free from the day after date + days. None at all (0 days) frees it
    at once. Raises ValueError for less than nothing.
    """
    if days < 0:
        raise ValueError("A withdrawal can't be less than no days.")
    return last_given_on + timedelta(days=days + 1) if days else last_given_on


def free_at(last_given_at: datetime, days: int) -> datetime:
    """The moment from which the animal is free: `days` times 24 hours after the last dose, in its time zone.

    The hours are hours that pass, whatever a clock is set to in between. Raises ValueError for less than
    nothing and for a moment without a time zone.
    """
    if days < 0:
        raise ValueError("A withdrawal can't be less than no days.")
    if last_given_at.tzinfo is None:
        raise ValueError("A moment needs its time zone.")
    return datetime.fromtimestamp(last_given_at.timestamp() + days * 86_400, last_given_at.tzinfo)


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """What holds an animal: the product, its first and last day, its days of 24 hours (None: not known).

    `free_at` is the moment of the end where the hour is known, in the outfit's time; `free_on` is the first
    day that is free from its first minute on, None where the days are not known.
    """

    product: str
    given_on: date
    last_on: date
    days: int | None
    free_on: date | None
    free_at: datetime | None = None

    @property
    def until(self) -> date | None:
        """The last day that is not free all through."""
        return self.free_on - timedelta(days=1) if self.free_on else None

    def holds_on(self, day: date) -> bool:
        """Whether the animal is not known to be free at every hour of the day."""
        if day < self.given_on:
            return False
        if self.free_on is None:
            return day <= self.last_on + timedelta(days=UNKNOWN_DAYS)
        return day < self.free_on

    def holds_at(self, moment: datetime) -> bool:
        """Whether the animal is not known to be free at a moment, given in the outfit's time."""
        if self.free_at is not None and moment >= self.free_at:
            return False
        return self.holds_on(moment.date())


def withdrawal_of(
    data: Mapping[str, Any], *, on: date | None, precision: str, at: datetime | None, recorded_at: datetime
) -> Withdrawal:
    """What a treatment or vaccination holds the animal for.

    `on`, `precision` and `at` say when it was given, `recorded_at` when it was written down; moments are in
    the outfit's time. A course counts from its last dose. A day not known in full is taken as late as it can
    have been: nothing is written down before it is given.
    """
    product = str(data.get("product") or "a product not named")
    given_on = _latest(on, precision, recorded_at.date())
    last_on = _day(data.get("last_on")) or given_on
    last_at = _moment(data.get("last_at"), recorded_at) or (at if last_on == given_on else None)
    days = data.get("withdrawal_days")
    if not isinstance(days, int) or days < 0:
        return Withdrawal(product, given_on, last_on, None, None)
    if last_at is None or not days:
        return Withdrawal(product, given_on, last_on, days, free_from(last_on, days))
    end = free_at(last_at, days)
    is_midnight = end.time() == end.min.time()
    return Withdrawal(product, given_on, last_on, days, end.date() + timedelta(days=not is_midnight), end)


def latest_end(holds: Iterable[Withdrawal]) -> Withdrawal | None:
    """Of several, the one that holds longest; one whose days are not known outlasts all that are."""
    return max(holds, key=_end, default=None)


def _end(one: Withdrawal) -> tuple[date, float]:
    moment = one.free_at.timestamp() if one.free_at else float("inf")
    return one.free_on or date.max, moment


def _latest(on: date | None, precision: str, recorded_on: date) -> date:
    if on is None or precision == "unknown":
        return recorded_on
    if precision == "month":
        return max(on, min(on.replace(day=monthrange(on.year, on.month)[1]), recorded_on))
    if precision == "year":
        return max(on, min(date(on.year, 12, 31), recorded_on))
    return on


def _day(value: object) -> date | None:
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        return None


def _moment(value: object, like: datetime) -> datetime | None:
    try:
        moment = datetime.fromisoformat(str(value))
    except ValueError:
        return None
    return moment.astimezone(like.tzinfo) if moment.tzinfo else None


def label_faults(
    data: Mapping[str, Any], label_days: int | None, *, needs_prescription: bool
) -> list[tuple[str, str]]:
    """What the label or the law still asks of a medicine given, as pairs of field and sentence.

    The label's days may be lengthened by anyone, but only a veterinarian may shorten them or order a use other
    than the label's (FDA 21 CFR 530.3 and Compliance Policy Guide 615.200: extra-label use without a
    veterinarian is not lawful).
    """
    if str(data.get("veterinarian") or "").strip():
        return []
    days = data.get("withdrawal_days")
    if data.get("use") == EXTRA_LABEL:
        said = "Use other than the label's needs a veterinarian's order: name the veterinarian, who also sets the days."
        return [("veterinarian", said)]
    if isinstance(days, int) and label_days is not None and days < label_days:
        said = f"The product list has {label_days} days by the label. Fewer need the veterinarian who set them."
        return [("withdrawal_days", said)]
    if needs_prescription:
        return [("veterinarian", "This product is given on prescription: name the veterinarian.")]
    return []
