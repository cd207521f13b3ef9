"""Loads what the record knows happened to animals, as far as a day's rows speak of it."""

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.deciding.context import PastEvent
from herd.ledger.rows import in_steps, read_rows
from herd.registry.models import Event
from herd.registry.queries.withdrawal import hold_of
from herd.values.eventkinds import MEDICINE_KINDS

# What other readings are weighed against: gains need weights, sales need medicines given.
BESIDE = {"sale": MEDICINE_KINDS}
COLUMNS = (
    "id", "animal_id", "kind", "happened_on", "data", "weight_ng", "precision", "happened_at", "recorded_at",
)


def load_past(outfit: Outfit, animal_ids: Iterable[UUID], kinds: set[str]) -> dict[UUID, list[PastEvent]]:
    """Return the events of these kinds of each animal, oldest first."""
    wanted = kinds | {beside for kind in kinds for beside in BESIDE.get(kind, ())}
    past: dict[UUID, list[PastEvent]] = defaultdict(list)
    if not wanted:
        return past
    for ids in in_steps(animal_ids):
        rows = Event.objects.of(outfit).filter(animal__in=ids, kind__in=wanted).order_by("happened_on", "id")
        for key, animal_id, kind, day, data, ng, precision, at, recorded_at in read_rows(rows.values_list(*COLUMNS)):
            is_medicine = kind in MEDICINE_KINDS
            hold = hold_of(outfit, data, day, precision, at, recorded_at) if is_medicine else None
            past[animal_id].append(PastEvent(key, kind, day, data, ng, hold))
    return past
