"""Keeps status, class, group and place of animals equal to the fold over their events and memberships."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps, read_rows
from herd.registry.models import Animal, Event, GroupMembership
from herd.registry.services.event_checks import as_id
from herd.registry.services.work import Work, save_all
from herd.values.eventkinds import STANDING_KINDS
from herd.values.life import LifeEvent, Standing, Stay, fold_life

COLUMNS = ("animal_class", "status", "status_since", "group_id", "location_id")


def refold(work: Work) -> None:
    """Bring the animals that the batch touched up to date."""
    correct_standing(work.outfit, work.refold)


def correct_standing(outfit: Outfit, animal_ids: Iterable[UUID]) -> list[UUID]:
    """Recompute these animals' standing, write what differed, and return whose did."""
    differing = [animal for animal, standing in folded(outfit, animal_ids) if _set(animal, standing)]
    save_all(differing, COLUMNS)
    return [animal.pk for animal in differing]


def folded(outfit: Outfit, animal_ids: Iterable[UUID]) -> Iterator[tuple[Animal, Standing]]:
    """Yield each animal with the standing that its life gives."""
    for ids in in_steps(animal_ids):
        events: dict[UUID, list[LifeEvent]] = defaultdict(list)
        rows = Event.objects.of(outfit).filter(animal__in=ids, kind__in=STANDING_KINDS)
        columns = ("kind", "happened_on", "id", "animal_id", "data")
        for kind, day, event_id, animal_id, data in read_rows(rows.values_list(*columns)):
            place = as_id(data.get("location"))
            events[animal_id].append(LifeEvent(kind, day, event_id, place))
        stays: dict[UUID, list[Stay]] = defaultdict(list)
        in_groups = GroupMembership.objects.of(outfit).filter(animal__in=ids)
        columns = ("animal_id", "group_id", "joined_on", "left_on", "group__location_id")
        for animal_id, group, joined, left, place in read_rows(in_groups.values_list(*columns)):
            stays[animal_id].append(Stay(group, joined, left, place))
        for animal in Animal.objects.of(outfit).filter(pk__in=ids):
            life = fold_life(animal.entry_class, animal.entered_on, events[animal.pk], stays[animal.pk])
            yield animal, life


def _set(animal: Animal, standing: Standing) -> bool:
    values = (standing.animal_class, standing.status, standing.since, standing.group, standing.place)
    if values == tuple(getattr(animal, column) for column in COLUMNS):
        return False
    for column, value in zip(COLUMNS, values, strict=True):
        setattr(animal, column, value)
    return True
