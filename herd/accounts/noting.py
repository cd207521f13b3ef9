"""Notes what was changed about an outfit, in the same transaction as the change."""

from django.utils import timezone

from herd.accounts.models import Outfit, OutfitChange, OutfitChangeKind, OutfitPerson, Person


def note_change(*, outfit: Outfit, kind: OutfitChangeKind, says: str, by: Person | None) -> None:
    """Keep a sentence about a change with who made it; `by` is None for the computer's own commands."""
    OutfitChange.objects.create(
        outfit=outfit,
        kind=kind,
        says=says[:300],
        person=by,
        person_name=str(by) if by else "",
        recorded_at=timezone.now(),
    )


def note_in_each_outfit(*, of: Person, kind: OutfitChangeKind, says: str, by: Person | None) -> None:
    """Keep a sentence about a person in every outfit that the person is in."""
    for place in OutfitPerson.objects.filter(person=of).select_related("outfit"):
        note_change(outfit=place.outfit, kind=kind, says=says, by=by)
