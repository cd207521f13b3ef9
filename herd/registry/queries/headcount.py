"""How many head: by class, by group, and by both."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Case, Count, IntegerField, Q, Value, When

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus, Group

# An animal under a year is counted as a calf beside its class (common practice, no source).
CALF_DAYS = 365


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


def count_head(outfit: Outfit, today: date) -> HeadCount:
    """Count the head on hand by class and group, and those away by status, in three queries."""
    is_calf = Q(born_on__gt=today - timedelta(days=CALF_DAYS))
    rows = (
        Animal.objects.of(outfit)
        .filter(status=AnimalStatus.ON_HAND)
        .annotate(young=Case(When(is_calf, then=Value(1)), default=Value(0), output_field=IntegerField()))
        .values("group_id", "animal_class", "young")
        .order_by()
        .annotate(head=Count("id"))
    )
    groups = {group.pk: GroupCount(group) for group in Group.objects.of(outfit).filter(is_closed=False)}
    count = HeadCount()
    loose = GroupCount(None)
    for row in rows:
        name = "calf" if row["young"] and row["animal_class"] != "cow" else row["animal_class"] or "unknown"
        _add(count, groups.get(row["group_id"], loose), name, row["head"])
    count.groups = [*groups.values(), *([loose] if loose.total else [])]
    count.away = _away(outfit)
    return count


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
