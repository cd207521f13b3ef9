"""Animals: register one, correct its facts."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import Animal
from herd.registry.services.batch import Batch, Edit, Join, NewAnimal, PutOn
from herd.registry.services.writer import write
from herd.values.identity import new_id


def register(
    *,
    entry: Entry,
    facts: Mapping[str, Any],
    tags: Sequence[Mapping[str, Any]] = (),
    group_id: UUID | None = None,
    on: date | None = None,
    animal_id: UUID | None = None,
) -> UUID:
    """Register an animal with its tags and group, and return its id; raises Refused.

    `animal_id` is given where a device made the animal's id while it was offline.
    """
    animal = NewAnimal({"entered_on": on, **facts}, animal_id or new_id())
    batch = Batch(
        animals=[animal],
        put_on=[PutOn(animal_id=animal.id, worn_from=on, **tag) for tag in tags],
        joins=[Join(animal.id, group_id, on)] if group_id and on else [],
    )
    write(entry, batch)
    return animal.id


def correct(*, entry: Entry, animal: Animal, facts: Mapping[str, Any], reason: str) -> None:
    """Correct facts of an animal, with the reason; raises Refused."""
    write(entry, Batch(edits=[Edit(animal.pk, facts, reason)]))
