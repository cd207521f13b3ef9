"""How many head: by class, by group, and by both, today or on any past day."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Case, Count, Exists, IntegerField, OuterRef, Q, QuerySet, Value, When

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus, Event, Group, GroupMembership
from herd.registry.queries.groupplaces import group_places
from herd.registry.queries.lives import lives_of
from herd.values.eventkinds import EVENT_KINDS, STANDING_KINDS, Effect

# An animal under a year is counted as a calf beside its class (common practice, no source).
CALF_DAYS = 365
STEP = 2_000
_MINE = {"animal": OuterRef("pk"), "is_void": False}


@dataclass(slots=True)
class GroupCount:
    """The head of one group by class; `group` is None for animals in no group."""

    group: Group | None
    total: int = 0
    by_class: dict[str, int] = field(default_factory=dict)


@dataclass(slots=True)
class HeadCount:
    """The head on hand. Classes: cow, bull, heifer, steer, calf (under a year), unknown."""

    total: int = 0
    by_class: dict[str, int] = field(default_factory=dict)
    groups: list[GroupCount] = field(default_factory=list)
    away: dict[str, int] = field(default_factory=dict)


CLASSES = ("cow", "heifer", "bull", "steer", "calf", "unknown")


class Heap(NamedTuple):
    """Animals that stand alike: their status, class as it is counted, group and location."""

    status: str
    name: str
    group_id: UUID | None
    location_id: UUID | None


def count_head(outfit: Outfit, today: date) -> HeadCount:
    """Count the head on hand by class and group, and those away by status, in three queries."""
    rows = _with_young(Animal.objects.of(outfit).filter(status=AnimalStatus.ON_HAND), today)
    groups = {group.pk: GroupCount(group) for group in Group.objects.of(outfit).filter(is_closed=False)}
    count, loose = HeadCount(), GroupCount(None)
    for row in rows.values("group_id", "animal_class", "young").order_by().annotate(head=Count("id")):
        name = _counted_as(row["animal_class"], is_young=bool(row["young"]))
        _add(count, groups.get(row["group_id"], loose), name, row["head"])
    count.groups = [*groups.values(), *([loose] if loose.total else [])]
    count.away = _away(outfit)
    return count


def count_head_on(outfit: Outfit, day: date) -> HeadCount:
    """Count the head that was on hand at the end of a day, by what the record knows now.

    Groups closed since are among the groups where they held animals that day.
    """
    groups = {group.pk: GroupCount(group) for group in Group.objects.of(outfit)}
    count, loose = HeadCount(), GroupCount(None)
    for heap, head in heaps_on(outfit, day).items():
        if heap.status == AnimalStatus.ON_HAND:
            _add(count, groups.get(heap.group_id, loose) if heap.group_id else loose, heap.name, head)
        else:
            count.away[heap.status] = count.away.get(heap.status, 0) + head
    shown = [one for one in groups.values() if one.total or not (one.group and one.group.is_closed)]
    count.groups = [*shown, *([loose] if loose.total else [])]
    return count


def count_places_on(outfit: Outfit, day: date) -> dict[UUID | None, HeadCount]:
    """Count the head on hand at each location on a day; None stands for a location that is not known."""
    places: dict[UUID | None, HeadCount] = {}
    for heap, head in heaps_on(outfit, day).items():
        if heap.status == AnimalStatus.ON_HAND:
            _add(places.setdefault(heap.location_id, HeadCount()), GroupCount(None), heap.name, head)
    return places


def heaps_on(outfit: Outfit, day: date) -> Counter[Heap]:
    """Count the animals of the record by how they stood on a day.

    The database counts those to which nothing has happened since; only the others' lives are folded, in short
    steps, so that memory stays flat.
    """
    heaps: Counter[Heap] = Counter()
    for row in _with_young(unchanged_since(Animal.objects.of(outfit), day), day).values_list(
        "status", "animal_class", "young", "group_id", "location_id"
    ).order_by().annotate(Count("id")):
        status, animal_class, young, group_id, location_id, head = row
        heaps[Heap(status, _counted_as(animal_class, is_young=bool(young)), group_id, location_id)] += head
    heaps.update(_folded_on(outfit, day))
    return heaps


def changed_since(outfit: Outfit, day: date) -> QuerySet[Animal]:
    """The animals that were here on the day, and whose standing something dated after it may have changed."""
    return Animal.objects.of(outfit).filter(_has_later(day)).exclude(not_yet_here(day))


def keys_of(rows: QuerySet[Animal]) -> Iterator[UUID]:
    """The ids of the rows, read once and streamed: a query cut by key would weigh every animal again for each cut."""
    return rows.order_by().values_list("pk", flat=True).iterator(chunk_size=STEP)


def _has_later(day: date) -> Q:
    stays = GroupMembership.objects.filter(Q(joined_on__gt=day) | Q(left_on__gt=day), **_MINE)
    return has_events(STANDING_KINDS, happened_on__gt=day) | Q(Exists(stays))


def has_events(kinds: Iterable[str], **when: Any) -> Q:
    """Whether an animal has an event of these kinds that may change its standing; a calving makes no cow of a cow."""
    rows = Event.objects.filter(**_MINE, **when)
    calvings = [kind for kind in kinds if EVENT_KINDS[kind].effect is Effect.BECOMES_COW]
    others = [kind for kind in kinds if kind not in calvings]
    made_cow = ~Q(entry_class="cow") & Q(Exists(rows.filter(kind__in=calvings)))
    return Q(Exists(rows.filter(kind__in=others))) | made_cow


def not_yet_here(day: date) -> Q:
    """Whether an animal was entered or born later, and ran in no group up to the day."""
    ran = GroupMembership.objects.filter(joined_on__lte=day, **_MINE)
    return (Q(entered_on__gt=day) | Q(born_on__gt=day)) & ~Q(Exists(ran))


def unchanged_since(rows: QuerySet[Animal], day: date) -> QuerySet[Animal]:
    """Those of the rows that were in the herd on the day and stand now as they stood then."""
    entered = Q(entered_on=None) | Q(entered_on__lte=day)
    born = Q(born_on=None) | Q(born_on__lte=day)
    was_here = Q(group__isnull=False) | (entered & born)
    return rows.filter(was_here).exclude(_has_later(day))


def _folded_on(outfit: Outfit, day: date) -> Iterator[Heap]:
    places = group_places(outfit)
    for life in lives_of(outfit, keys_of(changed_since(outfit, day))):
        standing = life.on(day, places)
        if standing is not None:
            name = counted_as(standing.animal_class, life.born_on, day)
            yield Heap(standing.status, name, standing.group, standing.place)


def _with_young(rows: QuerySet[Animal], day: date) -> QuerySet[Any]:
    is_calf = Q(born_on__gt=day - timedelta(days=CALF_DAYS))
    return rows.annotate(young=Case(When(is_calf, then=Value(1)), default=Value(0), output_field=IntegerField()))


def counted_as(animal_class: str, born_on: date | None, day: date) -> str:
    """The class under which an animal is counted on a day: its own, calf under a year, or unknown."""
    is_young = born_on is not None and born_on > day - timedelta(days=CALF_DAYS)
    return _counted_as(animal_class, is_young=is_young)


def _counted_as(animal_class: str, *, is_young: bool) -> str:
    return "calf" if is_young and animal_class != "cow" else animal_class or "unknown"


def _add(count: HeadCount, group: GroupCount, name: str, head: int) -> None:
    group.total += head
    group.by_class[name] = group.by_class.get(name, 0) + head
    count.total += head
    count.by_class[name] = count.by_class.get(name, 0) + head


def _away(outfit: Outfit) -> dict[str, int]:
    rows = Animal.objects.of(outfit).exclude(status=AnimalStatus.ON_HAND)
    return dict(rows.values_list("status").order_by("status").annotate(Count("id")))


def members_on(outfit: Outfit, group_id: UUID, day: date) -> list[UUID]:
    """Return who was in a group on a day; the day of joining counts, the day of leaving does not."""
    rows = Animal.objects.of(outfit).filter(
        Q(memberships__left_on=None) | Q(memberships__left_on__gt=day),
        memberships__is_void=False,
        memberships__group_id=group_id,
        memberships__joined_on__lte=day,
    )
    return list(rows.order_by("pk").values_list("pk", flat=True).distinct())
