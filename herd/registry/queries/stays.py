"""Who came and who went between two days, and what a move of many would do."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, AnimalStatus, GroupMembership
from herd.registry.queries.groupplaces import group_places
from herd.registry.queries.headcount import changed_since, keys_of, unchanged_since
from herd.registry.queries.lives import lives_of
from herd.values.life import Standing


@dataclass(frozen=True, slots=True)
class Passage:
    """One animal that stood otherwise after a day than before it; None where it was not in the herd."""

    animal_id: UUID
    day: date
    before: Standing | None
    after: Standing | None


@dataclass(frozen=True, slots=True)
class MoveVerdict:
    """What a move would do: who moves, who is in the group already, and whom a reason keeps from moving."""

    movable: list[UUID]
    there: list[UUID]
    refused: dict[UUID, str]


def group_passages(outfit: Outfit, group_id: UUID, first: date, last: date) -> list[Passage]:
    """Who joined and who left a group from the first to the last day, both included, by day."""
    stays = GroupMembership.objects.of(outfit).filter(group=group_id)
    stays = stays.filter(Q(joined_on__range=(first, last)) | Q(left_on__range=(first, last)))
    ids = stays.order_by("animal").values_list("animal", flat=True).distinct()
    passages = _passages(outfit, ids, first, last)
    return _by_day(one for one in passages if group_id in _differing(one, "group"))


def place_passages(outfit: Outfit, location_id: UUID, first: date, last: date) -> list[Passage]:
    """Who came to a location and who went from it, from the first to the last day, both included, by day."""
    touched = changed_since(outfit, first - timedelta(days=1)) | Animal.objects.of(outfit).filter(
        entered_on__range=(first, last)
    )
    passages = _passages(outfit, keys_of(touched), first, last)
    return _by_day(one for one in passages if location_id in _differing(one, "place"))


def _passages(outfit: Outfit, ids: Iterable[UUID], first: date, last: date) -> Iterator[Passage]:
    places = group_places(outfit)
    for life in lives_of(outfit, ids):
        before = life.on(first - timedelta(days=1), places)
        for day in life.days(first, last):
            after = life.on(day, places)
            if after != before:
                yield Passage(life.id, day, before, after)
            before = after


def _differing(passage: Passage, part: str) -> set[UUID | None]:
    pair = [getattr(one, part) if one else None for one in (passage.before, passage.after)]
    return set() if pair[0] == pair[1] else set(pair)


def _by_day(passages: Iterable[Passage]) -> list[Passage]:
    return sorted(passages, key=lambda one: (one.day, one.animal_id))


def judge_move(outfit: Outfit, animal_ids: Sequence[UUID], group_id: UUID, on: date) -> MoveVerdict:
    """Say of each animal whether it can join the group on the day; ids not in the record are passed over."""
    verdict = MoveVerdict([], [], {})
    for ids in in_steps(dict.fromkeys(animal_ids)):
        animals = Animal.objects.of(outfit).in_bulk(ids)
        last = _last_stays(outfit, ids, on)
        for key in ids:
            if key not in animals:
                continue
            stay = last.get(key)
            reason = _against(animals[key], stay, on)
            if stay is not None and stay.left_on is None and stay.group_id == group_id and animals[key].is_on_hand:
                verdict.there.append(key)
            elif reason:
                verdict.refused[key] = reason
            else:
                verdict.movable.append(key)
    return verdict


def open_stays(outfit: Outfit, animal_ids: Iterable[UUID]) -> dict[UUID, GroupMembership]:
    """The stay that each of the animals is in now; those in no group are left out."""
    found = {}
    for ids in in_steps(dict.fromkeys(animal_ids)):
        rows = GroupMembership.objects.of(outfit).filter(animal__in=ids, left_on=None)
        found.update({row.animal_id: row for row in rows})
    return found


def _last_stays(outfit: Outfit, ids: Sequence[UUID], on: date) -> dict[UUID, GroupMembership]:
    """The stay that a join on the day would have to end: the open one, else the last that reached beyond the day."""
    rows = GroupMembership.objects.of(outfit).filter(Q(left_on=None) | Q(left_on__gt=on), animal__in=ids)
    found: dict[UUID, GroupMembership] = {}
    for stay in rows.select_related("group").order_by("joined_on"):
        if stay.left_on is None or found.get(stay.animal_id, stay).left_on is not None:
            found[stay.animal_id] = stay
    return found


def _against(animal: Animal, stay: GroupMembership | None, on: date) -> str:
    """What keeps an animal from joining a group on a day; empty where nothing does."""
    if not animal.is_on_hand:
        since = f" since {animal.status_since}" if animal.status_since else ""
        return f"It is {AnimalStatus(animal.status).label}{since}."
    if stay is not None and stay.joined_on > on:
        return f"It joined {stay.group.name} on {stay.joined_on}, after that day."
    if animal.born_on and animal.born_precision == "day" and on < animal.born_on:
        return f"It was born on {animal.born_on}, after that day."
    if animal.entered_on and on < animal.entered_on:
        return f"It came into the herd on {animal.entered_on}, after that day."
    if stay is not None and stay.left_on is not None:
        return f"It was in {stay.group.name} until {stay.left_on}, after that day."
    return ""


def animals_at(outfit: Outfit, location_id: UUID, day: date) -> list[UUID]:
    """Who was on hand at a location on a day, by id; those to whom nothing has happened since come from the row."""
    here = Animal.objects.of(outfit).filter(location=location_id, status=AnimalStatus.ON_HAND)
    found = set(unchanged_since(here, day).values_list("pk", flat=True))
    places = group_places(outfit)
    for life in lives_of(outfit, keys_of(changed_since(outfit, day))):
        standing = life.on(day, places)
        if standing and standing.place == location_id and standing.status == AnimalStatus.ON_HAND:
            found.add(life.id)
    return sorted(found)
