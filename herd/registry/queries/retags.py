"""Tags that came off and that nothing has replaced yet."""

from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from herd.accounts.models import Outfit
from herd.registry.models import TagWearing, WearingEnded


def unreplaced(outfit: Outfit, animal_ids: Iterable[UUID]) -> QuerySet[TagWearing]:
    """The wearings of these animals that ended, were no errors, and have no successor; the last first."""
    rows = TagWearing.objects.of(outfit).filter(animal__in=list(animal_ids), worn_to__isnull=False)
    replaced = rows.filter(replaced_by__is_void=False).values("pk")
    rows = rows.exclude(ended=WearingEnded.DATA_ERROR).exclude(pk__in=replaced)
    return rows.order_by("-worn_to", "-id")


def would_be_retag(outfit: Outfit, animal_id: UUID, kind: str) -> bool:
    """Whether a tag of this kind put on the animal now takes the place of one that came off before."""
    is_worn = TagWearing.objects.of(outfit).filter(animal=animal_id, kind=kind, ended="").exists()
    return not is_worn and unreplaced(outfit, [animal_id]).filter(kind=kind).exists()
