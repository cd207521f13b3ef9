"""Who was on hand on a day, animal by animal, each with the class it counted under."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus
from herd.registry.queries.groupplaces import GroupPlaces
from herd.registry.queries.headcount import changed_since, counted_as, keys_of, unchanged_since
from herd.registry.queries.lives import lives_of


def on_hand_on(outfit: Outfit, day: date) -> Iterator[tuple[UUID, str]]:
    """Yield the animals on hand at the end of a day with their class, as `headcount.count_head_on` counts them."""
    here = Animal.objects.of(outfit).filter(status=AnimalStatus.ON_HAND)
    same = unchanged_since(here, day).order_by("pk").values_list("pk", "animal_class", "born_on")
    for key, animal_class, born_on in same.iterator():
        yield key, counted_as(animal_class, born_on, day)
    nowhere = GroupPlaces({})
    for life in lives_of(outfit, keys_of(changed_since(outfit, day))):
        standing = life.on(day, nowhere)
        if standing is not None and standing.status == AnimalStatus.ON_HAND:
            yield life.id, counted_as(standing.animal_class, life.born_on, day)
