"""What the record knows of one animal, and where each fact came from."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.registry.models import Animal, Event, GroupMembership, TagWearing
from herd.registry.queries.changes import changes_about, facts_of
from herd.registry.queries.merged import family_of


@dataclass(frozen=True, slots=True)
class AnimalHistory:
    """One animal with everything about it, oldest first."""

    animal: Animal
    wearings: list[TagWearing]
    stays: list[GroupMembership]
    events: list[Event]
    changes: list[Change]
    sources: dict[UUID, Change]


@dataclass(frozen=True, slots=True)
class WeightPoint:
    """A weighing for the plot."""

    day: date
    nanograms: int
    event: Event


def history_of(outfit: Outfit, animal_id: UUID) -> AnimalHistory | None:
    """Return the animal's history in seven queries, or None where this outfit has no such animal."""
    animals = Animal.objects.of(outfit).select_related("group", "location", "dam", "sire")
    animal = animals.filter(pk=animal_id).first()
    if animal is None:
        return None
    changes = changes_of(outfit, animal_id)
    mine: dict[str, Any] = {"animal": animal}
    return AnimalHistory(
        animal,
        list(TagWearing.objects.of(outfit).filter(**mine).select_related("tag").order_by("worn_from", "id")),
        list(
            GroupMembership.objects.of(outfit)
            .filter(**mine)
            .select_related("group")
            .order_by("joined_on", "id")
        ),
        list(Event.objects.of(outfit).filter(**mine).order_by("happened_on", "id")),
        changes,
        _sources(changes),
    )


def changes_of(outfit: Outfit, animal_id: UUID) -> list[Change]:
    """Every change about an animal and the records merged into it, oldest first, each with its changeset."""
    changes = Change.objects.filter(outfit=outfit).select_related("changeset")
    return changes_about(changes, family_of(outfit, [animal_id]))


def weights_of(history: AnimalHistory) -> list[WeightPoint]:
    """The dated weighings of a history."""
    return [
        WeightPoint(event.happened_on, event.weight_ng, event)
        for event in history.events
        if event.weight_ng and event.happened_on
    ]


def _sources(changes: list[Change]) -> dict[UUID, Change]:
    """For each row, the last change to it that stands."""
    return {change.subject_id: change for change in facts_of(changes)}
