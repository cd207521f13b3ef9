"""The offspring of an animal, oldest first, page by page."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from django.db.models import OuterRef, Q, QuerySet, Subquery

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event
from herd.registry.queries.paging import by_key

STEP = 500


def offspring(outfit: Outfit, animal_id: UUID) -> QuerySet[Animal]:
    """The animals of which this one is dam or sire, in the order of their ids."""
    return Animal.objects.of(outfit).filter(Q(dam=animal_id) | Q(sire=animal_id)).order_by("pk")


def some_offspring(outfit: Outfit, animal_id: UUID, most: int, after: UUID | None = None) -> list[Animal]:
    """A page of offspring behind an id, with their last weight; one more than asked says that others follow."""
    rows = _with_weights(offspring(outfit, animal_id))
    return list((rows.filter(pk__gt=after) if after else rows)[: most + 1])


def all_offspring(outfit: Outfit, animal_id: UUID) -> Iterator[list[Animal]]:
    """All offspring in short steps, with their last weight."""
    yield from by_key(_with_weights(offspring(outfit, animal_id)), STEP)


def _with_weights(rows: QuerySet[Animal]) -> QuerySet[Animal]:
    weighed = Event.objects.filter(animal=OuterRef("pk"), kind="weight", is_void=False, happened_on__isnull=False)
    last = weighed.order_by("-happened_on", "-pk")
    annotated: QuerySet[Animal] = rows.annotate(
        last_weight=Subquery(last.values("weight_ng")[:1]), weighed_on=Subquery(last.values("happened_on")[:1])
    )
    return annotated.select_related("group")


def born_dead(outfit: Outfit, animal_id: UUID) -> list[date | None]:
    """The days on which an animal had a dead calf that is no animal of the record."""
    rows = Event.objects.of(outfit).filter(animal=animal_id, kind="calving", data__outcome="dead")
    rows = rows.exclude(data__has_key="calf")
    return list(rows.order_by("happened_on", "pk").values_list("happened_on", flat=True))
