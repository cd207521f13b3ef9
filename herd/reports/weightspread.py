"""How the last weights of each group are spread."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.registry.models import Event, Group, GroupMembership
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.spread import Spread, spread_of


@dataclass(frozen=True, slots=True)
class GroupWeights:
    """The members of a group on a day, and the last weight of each that was weighed, in the outfit's unit."""

    group: Group
    members: Sequence[UUID]
    weights: Mapping[UUID, tuple[date, Fraction]]

    @property
    def spread(self) -> Spread | None:
        """How the weights are spread; None where nobody was weighed."""
        return spread_of([weight for _, weight in self.weights.values()]) if self.weights else None

    @property
    def not_weighed(self) -> list[UUID]:
        """The members without a weight in the time."""
        return [key for key in self.members if key not in self.weights]


def weights_by_group(outfit: Outfit, since: date, until: date) -> list[GroupWeights]:
    """The groups that held animals at the end of `until`, each with the last weights from `since` on; three queries.

    Weights of birth are left out: they say nothing of what a group weighs.
    """
    members = _members(outfit, until)
    weights = _weights(outfit, since, until)
    groups = Group.objects.of(outfit).order_by("name")
    return [
        GroupWeights(group, members[group.pk], {key: weights[key] for key in members[group.pk] if key in weights})
        for group in groups
        if group.pk in members
    ]


def _members(outfit: Outfit, day: date) -> dict[UUID, list[UUID]]:
    stays = GroupMembership.objects.of(outfit).filter(Q(left_on=None) | Q(left_on__gt=day), joined_on__lte=day)
    found: dict[UUID, list[UUID]] = {}
    rows: Any = stays.filter(animal__is_void=False).order_by("animal").values_list("group_id", "animal_id").distinct()
    for group, animal in rows:
        found.setdefault(group, []).append(animal)
    return found


def _weights(outfit: Outfit, since: date, until: date) -> dict[UUID, tuple[date, Fraction]]:
    rows = Event.objects.of(outfit).filter(kind="weight", weight_ng__gt=0, happened_on__range=(since, until))
    rows = rows.order_by("happened_on", "id")
    unit = NANOGRAMS[WeightUnit(outfit.weight_unit)]
    columns: Any = rows.values_list("animal_id", "happened_on", "weight_ng", "data__purpose")
    # Told apart here: a database takes a weight without any purpose for one that may be of birth.
    return {
        key: (on, Fraction(nanograms, unit))
        for key, on, nanograms, purpose in columns.iterator()
        if purpose != "birth"
    }
