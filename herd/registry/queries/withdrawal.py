"""Who is in withdrawal: by animal, for a few or for the whole herd, at a moment or on a day."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps, read_rows
from herd.registry.models import AnimalStatus, Event
from herd.values.eventkinds import MEDICINE_KINDS
from herd.values.withdrawal import LONGEST_COURSE, MOST_DAYS, UNKNOWN_DAYS, Withdrawal, withdrawal_of

Holds = dict[UUID, list[Withdrawal]]

COLUMNS = ("animal_id", "data", "happened_on", "precision", "happened_at", "recorded_at")
# Most labels ask for no more; longer ones are looked for by their days.
USUAL_DAYS = 30


def withdrawals(outfit: Outfit, animal_ids: Iterable[UUID], at: date | datetime) -> Holds:
    """What holds each of these animals; who is known to be free is left out.

    `at` is a moment, or a day of which the hour is not known: then what ends on that day still holds. One
    query for eight hundred animals.
    """
    found: Holds = {}
    for ids in in_steps(animal_ids):
        found.update(_holding(_medicines(outfit).filter(animal__in=ids), outfit, at))
    return found


def herd_in_withdrawal(outfit: Outfit, at: date | datetime) -> Holds:
    """What holds each animal on hand that is not known to be free, in one query."""
    rows = _medicines(outfit).filter(_recent(_day_of(outfit, at)), animal__status=AnimalStatus.ON_HAND)
    return _holding(rows.filter(animal__is_void=False), outfit, at)


def held_by(event: Event, outfit: Outfit) -> Withdrawal | None:
    """What one event holds its animal for; None for an event of another kind."""
    if event.kind not in MEDICINE_KINDS:
        return None
    return hold_of(outfit, event.data, event.happened_on, event.precision, event.happened_at, event.recorded_at)


def hold_of(
    outfit: Outfit, data: dict[str, Any], on: date | None, precision: str, at: datetime | None, recorded_at: datetime
) -> Withdrawal:
    """What one event holds its animal for, from its columns; moments come in any time zone."""
    zone = outfit.zone
    local = at.astimezone(zone) if at else None
    return withdrawal_of(data, on=on, precision=precision, at=local, recorded_at=recorded_at.astimezone(zone))


def _medicines(outfit: Outfit) -> Any:
    return Event.objects.of(outfit).filter(kind__in=MEDICINE_KINDS)


def _recent(day: date) -> Q:
    """What can still hold on a day, by the day it was given; the rest is not worth reading."""

    def since(days: int) -> Q:
        return Q(happened_on__gte=day - timedelta(days=days + LONGEST_COURSE + 1))

    is_long = Q(data__withdrawal_days__gt=USUAL_DAYS) & since(MOST_DAYS)
    is_unknown = ~Q(data__has_key="withdrawal_days") & since(UNKNOWN_DAYS)
    return since(USUAL_DAYS) | is_long | is_unknown | ~Q(precision="day") | Q(happened_on=None)


def _holding(rows: Any, outfit: Outfit, at: date | datetime) -> Holds:
    local = at.astimezone(outfit.zone) if isinstance(at, datetime) else at
    found: Holds = defaultdict(list)
    for animal_id, *row in read_rows(rows.order_by("happened_on", "id").values_list(*COLUMNS)):
        one = hold_of(outfit, *row)
        if one.holds_at(local) if isinstance(local, datetime) else one.holds_on(local):
            found[animal_id].append(one)
    return dict(found)


def _day_of(outfit: Outfit, at: date | datetime) -> date:
    return at.astimezone(outfit.zone).date() if isinstance(at, datetime) else at
