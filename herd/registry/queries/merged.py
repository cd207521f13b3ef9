"""Records that were merged: which one stands for which, and what a merge wrote."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Action, Change
from herd.registry.models import Animal
from herd.registry.queries.changes import facts_of


@dataclass(frozen=True, slots=True)
class Parts:
    """What belongs to the second of two animals that one record holds, by the ids of its rows."""

    wearings: frozenset[UUID] = frozenset()
    stays: frozenset[UUID] = frozenset()
    events: frozenset[UUID] = frozenset()
    calves: frozenset[UUID] = frozenset()

    def __bool__(self) -> bool:
        return bool(self.wearings or self.stays or self.events or self.calves)


def standing_for(outfit: Outfit) -> dict[UUID, UUID]:
    """For every merged record of the outfit, the one that stands for it now; merges are few."""
    rows = Animal.objects.filter(outfit=outfit, same_as__isnull=False).values_list("pk", "same_as")
    pairs = {key: kept for key, kept in rows if kept}
    return {key: _last(pairs, key) for key in pairs}


def _last(pairs: dict[UUID, UUID], key: UUID) -> UUID:
    while key in pairs:
        key = pairs[key]
    return key


def kept_for(outfit: Outfit, animal_id: UUID) -> UUID | None:
    """Return the record that stands for a merged one; None for any other id."""
    kept = None
    row = Animal.objects.filter(outfit=outfit, pk=animal_id, is_void=True).first()
    while row is not None and row.same_as_id is not None:
        kept = row.same_as_id
        row = Animal.objects.filter(outfit=outfit, pk=kept, is_void=True).first()
    return kept


def family_of(outfit: Outfit, animal_ids: Iterable[UUID]) -> list[UUID]:
    """These animals and all records merged into them, those merged into these as well."""
    known = list(dict.fromkeys(animal_ids))
    ahead = known
    while ahead:
        rows = Animal.objects.filter(outfit=outfit, same_as__in=ahead).order_by("pk")
        ahead = list(rows.values_list("pk", flat=True))
        known.extend(ahead)
    return known


def merged_into(outfit: Outfit, animal_id: UUID) -> list[Animal]:
    """The records that were merged into an animal's, the latest first."""
    rows = {row.pk: row for row in Animal.objects.filter(outfit=outfit, same_as=animal_id)}
    merges = {key: merge_of(outfit, key) for key in rows}
    return sorted(rows.values(), key=lambda row: merge.position if (merge := merges[row.pk]) else 0, reverse=True)


def merge_of(outfit: Outfit, animal_id: UUID) -> Change | None:
    """The change that made a record void and pointed it at another, where it stands."""
    changes = Change.objects.filter(outfit=outfit, subject_id=animal_id).select_related("changeset")
    found = [one for one in facts_of(changes) if one.action == Action.VOIDED and (one.after or {}).get("same_as_id")]
    return found[-1] if found else None


def written_by_merge(outfit: Outfit, animal_id: UUID) -> list[Change]:
    """What the merge of this record wrote, oldest first; empty where it was not merged."""
    merge = merge_of(outfit, animal_id)
    return list(Change.objects.filter(changeset=merge.changeset).order_by("position")) if merge else []


def original_parts(outfit: Outfit, animal_id: UUID, merged_id: UUID) -> Parts:
    """What came over from a record when it was merged into this animal."""
    came: dict[str, set[UUID]] = {}
    for change in written_by_merge(outfit, merged_id):
        after = change.after or {}
        if change.action == Action.CHANGED and str(animal_id) in (
            after.get("animal_id"), after.get("dam_id"), after.get("sire_id")
        ):
            came.setdefault(change.subject_kind, set()).add(change.subject_id)
    named = ("wearing", "membership", "event", "animal")
    wearings, stays, events, calves = (frozenset(came.get(name, ())) for name in named)
    return Parts(wearings, stays, events, calves - {animal_id})
