"""Which animal of the record a device means by an id of ours or of its own making."""

from collections.abc import Iterable
from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.models import StagedRow
from herd.ledger.rows import in_steps
from herd.registry.models import Animal
from herd.registry.queries.merged import standing_for
from herd.sync.models import Operation


def resolve(outfit: Outfit, ids: Iterable[UUID]) -> dict[UUID, UUID]:
    """The animal that stands for each id; an id that nobody knows yet is left out.

    An id may be that of an animal, of one merged into another, or one that a device made for an animal that
    turned out to be in the record already.
    """
    wanted = set(ids)
    found: dict[UUID, UUID] = {}
    for some in in_steps(wanted):
        found.update((key, key) for key in Animal.objects.of(outfit).filter(pk__in=some).values_list("pk", flat=True))
    missing = wanted - set(found)
    if missing:
        merged = standing_for(outfit)
        found.update((key, merged[key]) for key in missing if key in merged)
        elsewhere = _made_elsewhere(outfit, missing - set(found))
        found.update({key: merged.get(animal, animal) for key, animal in elsewhere.items()})
    return found


def _made_elsewhere(outfit: Outfit, ids: set[UUID]) -> dict[UUID, UUID]:
    """Ids made by devices whose registration a person, or the matching, has given to an animal."""
    found: dict[UUID, UUID] = {}
    for some in in_steps(ids):
        sent = Operation.objects.filter(outfit=outfit, kind="animal.register", subject_id__in=some)
        rows: dict[UUID, UUID] = {}
        for one in sent.only("subject_id", "row_id", "answer"):
            if one.subject_id and one.answer.get("animal"):
                found[one.subject_id] = UUID(one.answer["animal"])
            elif one.subject_id and one.row_id:
                rows[one.row_id] = one.subject_id
        for row in StagedRow.objects.filter(pk__in=rows, was_applied=True).only("animal_id"):
            if row.animal_id:
                found[rows[row.pk]] = row.animal_id
    return found
