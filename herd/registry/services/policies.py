"""Own values of herd arithmetic: set one from a day on, give it up again, take a change back."""

from collections.abc import Iterable
from datetime import date, timedelta
from uuid import UUID

from django.db import IntegrityError

from herd.accounts.models import Outfit
from herd.ledger.entry import Entry
from herd.registry.models import PolicyValue
from herd.registry.queries.policies import change_of
from herd.registry.services.batch import Batch, EditPlace, NewPlace
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.writer import write
from herd.values.policyhistory import PolicyChange, PolicyHistory
from herd.values.policyshapes import write_value
from herd.values.policyvalues import POLICY_VALUES, read_value, say_value
from herd.values.problems import Unreadable

EARLIEST = date(1950, 1, 1)
FARTHEST_AHEAD = timedelta(days=3 * 366)


def set_value(*, entry: Entry, name: str, text: str, in_force_from: date, today: date) -> UUID:
    """Set a value from a day on, and return the id of its row; a second one of that day takes the first's place.

    Raises Refused for what can't be read, doesn't go with the other values of a day, or changes nothing.
    """
    if name not in POLICY_VALUES:
        raise Refused([Refusal(f"There is no value called {name}.", "name")])
    try:
        written = write_value(read_value(name, text))
    except Unreadable as problem:
        raise Refused([Refusal(problem.reason, "text")]) from problem
    return _put(entry, PolicyChange(name, in_force_from, written), today)


def publish_again(*, entry: Entry, name: str, in_force_from: date, today: date) -> UUID:
    """Let the published value count again from a day on; raises Refused where it does already."""
    if name not in POLICY_VALUES:
        raise Refused([Refusal(f"There is no value called {name}.", "name")])
    return _put(entry, PolicyChange(name, in_force_from, None), today)


def take_back(*, entry: Entry, row: PolicyValue, reason: str = "") -> None:
    """Take a change back, as if it had never been made; raises Refused where others need it."""
    if row.outfit_id != entry.outfit.pk or row.is_void:
        raise Refused([Refusal("That value is not in this outfit’s record.")])
    others = [change_of(one) for one in PolicyValue.objects.of(entry.outfit) if one.pk != row.pk]
    _check_sound(others, row.in_force_from)
    write(entry, Batch(place_edits=[EditPlace(PolicyValue.SUBJECT, row.pk, {}, reason, is_void=True)]))


def _put(entry: Entry, change: PolicyChange, today: date) -> UUID:
    if not EARLIEST <= change.in_force_from <= today + FARTHEST_AHEAD:
        reason = f"A value counts from {EARLIEST.year} on, and from three years ahead at the latest."
        raise Refused([Refusal(reason, "in_force_from")])
    rows = _rows(entry.outfit)
    own = next((one for one in rows if (one.key, one.in_force_from) == (change.name, change.in_force_from)), None)
    others = [change_of(one) for one in rows if one is not own]
    _check_new(others if own is None else [change_of(one) for one in rows], change)
    _check_sound([*others, change], change.in_force_from)
    facts = {"text": change.text or "", "is_published": change.text is None}
    try:
        if own is not None:
            write(entry, Batch(place_edits=[EditPlace(PolicyValue.SUBJECT, own.pk, facts)]))
            return own.pk
        place = NewPlace(PolicyValue.SUBJECT, {"key": change.name, "in_force_from": change.in_force_from, **facts})
        write(entry, Batch(places=[place]))
    except IntegrityError as clash:
        reason = "Somebody else has just set this value from that day; look at it and try again."
        raise Refused([Refusal(reason, "in_force_from")]) from clash
    return place.id


def _rows(outfit: Outfit) -> list[PolicyValue]:
    return list(PolicyValue.objects.of(outfit))


def _check_new(changes: Iterable[PolicyChange], change: PolicyChange) -> None:
    """Refuse what would be in force on that day without it."""
    value = POLICY_VALUES[change.name].published if change.text is None else read_value(change.name, change.text)
    now = PolicyHistory(changes).on(change.in_force_from)
    if getattr(now.policy, change.name) == value and (change.text is None) == (change.name not in now.since):
        reason = f"That is the value on that day already: {say_value(change.name, value)}."
        raise Refused([Refusal(reason, "text")])


def _check_sound(changes: list[PolicyChange], since: date) -> None:
    """Refuse where on some day from then on the values don't go together."""
    history = PolicyHistory(changes)
    for day in [since, *(one for one in history.days() if one > since)]:
        over = history.on(day).passed_over
        if over:
            named = " and ".join(POLICY_VALUES[one].label for one in over if one in POLICY_VALUES)
            when = "" if day == since else f" from {day} on"
            reason = f"It doesn’t go with the other values{when}: {named}. A length has to lie inside its own limits."
            raise Refused([Refusal(reason, "text")])
