"""Whether a changeset stands, in whole or in part, and the mark that says that nothing of it does."""

from uuid import UUID

from herd.ledger.models import Change, Changeset
from herd.registry.queries.changes import last_words


def standing_changes(target: Changeset, animal_id: UUID | None = None) -> list[Change]:
    """The changes whose reversal takes back what stands of a changeset, newest first."""
    changes = target.changes.order_by("-position")
    if animal_id is not None:
        changes = changes.filter(animal_id=animal_id)
    return list(last_words(changes).values())


def mark_undone(latest: Changeset) -> None:
    """Say of the changeset that was taken back, and of those it took back itself, whether any stands."""
    root = latest
    while root.undoes is not None:
        root = root.undoes
    family = [root]
    for member in family:
        family.extend(member.undone_by.all())
    for member in family:
        Changeset.objects.filter(pk=member.pk).update(is_undone=not standing_changes(member))
