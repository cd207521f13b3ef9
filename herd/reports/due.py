"""Which cows are due to calve, by their last pregnancy check or service."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import read_rows
from herd.registry.models import AnimalStatus, Event
from herd.registry.queries.breeds import breed_namer
from herd.registry.queries.policies import policies_of
from herd.values.gestation import Due, due_from_check, due_from_service
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory
from herd.values.pregnancy import LONGEST_DAYS

# A cow is told as overdue this long after her latest usual day, then the record has likely missed something
# (common practice, no source).
OVERDUE_DAYS = 30
KINDS = ("pregnancy_check", "service", "calving")
COLUMNS = ("animal_id", "animal__breed", "kind", "happened_on", "data")


@dataclass(frozen=True, slots=True)
class DueCow:
    """An animal on hand that is expected to calve, and how that was counted."""

    animal_id: UUID
    due: Due


@dataclass(slots=True)
class _Known:
    """What is known of one pregnancy so far: the last service, the last check with its days, and an open check."""

    breed: str
    served_on: date | None = None
    checked: tuple[date, int] | None = None

    def take(self, kind: str, on: date, data: dict[str, Any]) -> None:
        """Take in the next event; a calving or an open check ends what was known."""
        days = data.get("days")
        if kind == "service":
            self.served_on, self.checked = on, None
        elif kind == "calving" or data.get("result") == "open":
            self.served_on = self.checked = None
        elif data.get("result") == "pregnant" and isinstance(days, int) and 0 < days <= LONGEST_DAYS:
            self.checked = (on, days)

    def due(self, policy: Policy) -> Due | None:
        """The due date: by the service where its day is known, since days bred are an estimate."""
        if self.served_on is not None:
            return due_from_service(self.served_on, breed=self.breed, policy=policy)
        return due_from_check(*self.checked, breed=self.breed, policy=policy) if self.checked else None


def due_cows(outfit: Outfit, today: date, until: date, policies: PolicyHistory | None = None) -> list[DueCow]:
    """The animals on hand that are expected to calve up to a day, or are overdue; the earliest in front.

    Three queries; of events whose day isn't fully known nothing is counted. The outfit's own values of today count;
    they are asked for where `policies` doesn't give them.
    """
    policy = (policies or policies_of(outfit)).on(today).policy
    found = [one for one in _due(outfit, today, policy) if one.due.expected <= until]
    return sorted(found, key=lambda one: (one.due.expected, one.animal_id))


def due_of(outfit: Outfit, animal_ids: Collection[UUID], today: date) -> dict[UUID, Due]:
    """When those of these animals are due that are on hand and expected to calve."""
    policy = policies_of(outfit).on(today).policy
    return {one.animal_id: one.due for one in _due(outfit, today, policy, animal_ids)}


def _due(outfit: Outfit, today: date, policy: Policy, only: Collection[UUID] | None = None) -> Iterator[DueCow]:
    for key, known in _pregnancies(outfit, today, only):
        due = known.due(policy)
        if due and today <= due.latest + timedelta(days=OVERDUE_DAYS):
            yield DueCow(key, due)


def _pregnancies(outfit: Outfit, today: date, only: Collection[UUID] | None) -> Iterator[tuple[UUID, _Known]]:
    """What is known of each animal on hand, or of those asked for, since the longest pregnancy that can still go on."""
    since = today - timedelta(days=LONGEST_DAYS + 2 * OVERDUE_DAYS)
    rows = Event.objects.of(outfit).filter(
        kind__in=KINDS, happened_on__range=(since, today), precision="day",
        animal__status=AnimalStatus.ON_HAND, animal__is_void=False,
    )  # fmt: skip
    if only is not None:
        rows = rows.filter(animal__in=only)
    named = breed_namer(outfit)
    last: tuple[UUID, _Known] | None = None
    ordered = rows.order_by("animal_id", "happened_on", "id").values_list(*COLUMNS)
    for key, breed, kind, on, data in read_rows(ordered):
        if last is None or last[0] != key:
            if last is not None:
                yield last
            last = (key, _Known(named(breed)))
        last[1].take(kind, on, data)
    if last is not None:
        yield last
