"""What holds animals in withdrawal, in words, for the pages that mark it."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from herd.accounts.models import Outfit
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.registry.models import Event
from herd.registry.queries.withdrawal import held_by
from herd.values.withdrawal import Withdrawal, latest_end


def holds_of(events: Iterable[Event], outfit: Outfit, now: datetime) -> list[Withdrawal]:
    """What holds the animal of these events now, the longest first."""
    local = now.astimezone(outfit.zone)
    found = [one for event in events if (one := held_by(event, outfit)) and one.holds_at(local)]
    return longest_first(found)


def longest_first(holds: Iterable[Withdrawal]) -> list[Withdrawal]:
    """The holds by their end, those without a known end first."""
    rest, ordered = list(holds), []
    while last := latest_end(rest):
        ordered.append(last)
        rest.remove(last)
    return ordered


def say_end(hold: Withdrawal) -> str:
    """When a hold ends: "free from Mar 12, 2025, 09:00", or by the day, or that it is not known."""
    if hold.free_at is not None and hold.days:
        return f"free from {say_day(hold.free_at.date())}, {hold.free_at:%H:%M}"
    return f"free from {say_day(hold.free_on)}" if hold.free_on else "not known to be free"


def say_cause(hold: Withdrawal) -> str:
    """What was given, when, and for how many days: "penicillin on Mar 7, 2025, 5 days of 24 hours"."""
    span = f"{say_day(hold.given_on)} to {say_day(hold.last_on)}" if hold.last_on > hold.given_on else ""
    when = f"from {span}" if span else f"on {say_day(hold.last_on)}"
    if hold.days is None:
        return f"{hold.product} {when}, no withdrawal days entered"
    return f"{hold.product} {when}, {hold.days} day{'' if hold.days == 1 else 's'} of 24 hours"


def say_hold(holds: Sequence[Withdrawal]) -> str:
    """The end that counts and every cause: "free from Mar 14, 2025: penicillin on Mar 7, ..."."""
    ordered = longest_first(holds)
    return f"{say_end(ordered[0])}: {'; '.join(map(say_cause, ordered))}" if ordered else ""


def name_held(outfit: Outfit, holds: Mapping[UUID, Sequence[Withdrawal]]) -> list[tuple[UUID, str, str]]:
    """Each animal held: its id, its name, and what holds it how long; by name."""
    names = names_of(outfit, holds)
    rows = [(animal_id, names[str(animal_id)], say_hold(some)) for animal_id, some in holds.items()]
    return sorted(rows, key=lambda row: (len(row[1]), row[1]))
