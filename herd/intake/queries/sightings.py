"""When animals were last read at a processing day, though nothing of it became an event."""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.db.models import Max

from herd.accounts.models import Outfit
from herd.intake.models import DayState, RowState, StagedRow
from herd.ledger.rows import in_steps


def last_read(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, date]:
    """The last applied processing day with a line about each animal; animals without any are not in it."""
    found: dict[UUID, date] = {}
    for ids in in_steps(animal_ids):
        rows = StagedRow.objects.filter(
            animal_id__in=ids,
            day__outfit=outfit,
            day__state=DayState.APPLIED,
            day__makes_animals=False,
            state__in=(RowState.APPLIED, RowState.KNOWN),
        )
        found.update(rows.order_by().values_list("animal_id").annotate(Max("day__worked_on")))
    return found
