"""Whether animals can have had an event of a kind on a day: who was gone by then, or not born yet."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, AnimalStatus
from herd.values.eventkinds import EVENT_KINDS, LEAVING, Effect

COLUMNS = ("pk", "status", "status_since", "born_on", "born_precision")


def unfit(outfit: Outfit, animal_ids: Iterable[UUID], kind: str, day: date | None) -> dict[UUID, str]:
    """Why each of these animals can't have had the event on the day; who can have is left out.

    One query for eight hundred animals. What happened on the day an animal left still counts.
    """
    found: dict[UUID, str] = {}
    for ids in in_steps(animal_ids):
        rows = Animal.objects.of(outfit).filter(pk__in=ids)
        for animal_id, status, since, born_on, precision in rows.values_list(*COLUMNS):
            reason = _gone(kind, status, since, day)
            if not reason and day and born_on and precision == "day" and day < born_on:
                reason = f"born on {born_on}, later than {day}"
            if reason:
                found[animal_id] = reason
    return found


def _gone(kind: str, status: str, since: date | None, day: date | None) -> str:
    effect = EVENT_KINDS[kind].effect
    word = AnimalStatus(status).label + (f" since {since}" if since else "")
    if effect is Effect.ON_HAND:
        return "on hand already" if status == AnimalStatus.ON_HAND else ""
    if status == AnimalStatus.ON_HAND:
        return ""
    was_here = since is not None and day is not None and day <= since
    return "" if was_here and effect not in LEAVING else word
