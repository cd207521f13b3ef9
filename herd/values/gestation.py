"""Due dates from a service, from days bred at a check or from a breeding season, and lengths of gestation."""

from dataclasses import dataclass
from datetime import date, timedelta

from herd.values.figures import Figure, Part, exact
from herd.values.policy import PUBLISHED, Policy
from herd.values.pregnancy import LONGEST_DAYS
from herd.values.problems import Caution


@dataclass(frozen=True, slots=True)
class Due:
    """When a calf is expected, with the earliest and latest usual day and how the days were counted."""

    earliest: date
    expected: date
    latest: date
    formula: str
    source: str
    cautions: tuple[Caution, ...] = ()


def due_from_service(served_on: date, *, breed: str | None = None, policy: Policy = PUBLISHED) -> Due:
    """Due date of a known service: plain days added, the day of service being day 0.

    Widely printed tables count the day of service as day 1 and come out a day earlier. Source: Beef
    Improvement Federation guidelines, "Gestation Length"; counting as in Clemson Extension BC-1001.
    """
    return _due(served_on, served_on, "day of service", breed=breed, policy=policy)


def due_from_check(
    checked_on: date,
    days_bred: int | tuple[int, int],
    *,
    breed: str | None = None,
    policy: Policy = PUBLISHED,
) -> Due:
    """Due date from the days bred that were called at a check, or from their span (fewest, most).

    Conception is the day of the check less the days bred. Raises ValueError for days that no pregnancy lasts
    and for a span that runs backwards.
    """
    fewest, most = (days_bred, days_bred) if isinstance(days_bred, int) else days_bred
    if not 0 < fewest <= most <= LONGEST_DAYS:
        raise ValueError(f"Days bred have to be from 1 to {LONGEST_DAYS}, the fewest first.")
    first, last = checked_on - timedelta(days=most), checked_on - timedelta(days=fewest)
    due = _due(first, last, "day of the check - days bred", breed=breed, policy=policy)
    reason = "Days bred are the checker's estimate; the earlier the check, the nearer it comes."
    return Due(due.earliest, due.expected, due.latest, due.formula, due.source, (Caution("estimate", reason),))


def due_from_season(turned_in: date, taken_out: date, *, breed: str | None = None, policy: Policy = PUBLISHED) -> Due:
    """Due dates of females that ran with a bull, the middle of the season as the expected one.

    Raises ValueError for a season that runs backwards.
    """
    if taken_out < turned_in:
        raise ValueError("The bull can't come out before he went in.")
    due = _due(turned_in, taken_out, "day with the bull", breed=breed, policy=policy)
    reason = "The day of service isn't known; the whole breeding season is possible."
    return Due(due.earliest, due.expected, due.latest, due.formula, due.source, (Caution("whole_season", reason),))


def bred_on(calved_on: date, *, breed: str | None = None, policy: Policy = PUBLISHED) -> date:
    """The day on which a calf was likely conceived: plain days taken off the day of calving."""
    return calved_on - timedelta(days=policy.gestation_of(breed))


def gestation_length(served_on: date, calved_on: date, *, policy: Policy = PUBLISHED) -> Figure:
    """Days from service to calving, with a caution outside the usual limits.

    Source: Beef Improvement Federation guidelines, "Gestation Length". Raises ValueError for a calving before
    the service.
    """
    days = (calved_on - served_on).days
    if days < 0:
        raise ValueError("The calving lies before the service.")
    limits = policy.gestation_limits
    cautions: tuple[Caution, ...] = ()
    if days not in limits:
        reason = f"{days} days is outside {limits.first} to {limits.last}; another service may be the one."
        cautions = (Caution("unusual_gestation", reason),)
    source = policy.source_of("gestation")
    return Figure(exact(days), "days", "day of calving - day of service", (Part("days", days),), source, cautions)


def _due(first: date, last: date, start: str, *, breed: str | None, policy: Policy) -> Due:
    days, spread = policy.gestation_of(breed), timedelta(days=policy.gestation_spread)
    is_listed = any(row.breed.casefold() == (breed or "").strip().casefold() for row in policy.gestation_by_breed)
    return Due(
        first + timedelta(days=days) - spread,
        first + (last - first) // 2 + timedelta(days=days),
        last + timedelta(days=days) + spread,
        f"{start} + {days} days, usual within {policy.gestation_spread} days",
        policy.source_of("gestation_by_breed" if is_listed else "gestation"),
    )
