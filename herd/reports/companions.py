"""What an animal weighed beside the others of its group that were weighed on the same day."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from functools import reduce
from operator import or_
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, Group, GroupMembership
from herd.registry.queries.policies import policies_of
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.spread import Spread, spread_of

# Fewer others than these make no middle worth a line (our choice).
LEAST = 3
# More days than these are no weighings of one animal but a scale that was read in passing.
MOST_DAYS = 200
_ALIKE = ({"bull", "steer"}, {"cow", "heifer"})


@dataclass(frozen=True, slots=True)
class Beside:
    """The others of a group on a day: who they were together, and how their weights were spread."""

    group: Group
    spread: Spread


def weighed_beside(
    outfit: Outfit, animal: Animal, stays: Sequence[GroupMembership], days: Iterable[date]
) -> dict[date, Beside]:
    """Those of one sex that ran in the animal's group on a day and were weighed on it, in the outfit's unit.

    Where the animal's day of birth is known, only those born within the outfit's birth window of it. A day with too
    few is left out.
    """
    ran = {day: stay.group for day in sorted(set(days))[-MOST_DAYS:] for stay in stays if _covers(stay, day)}
    if not ran:
        return {}
    rows = Event.objects.of(outfit).filter(kind="weight", weight_ng__gt=0, animal__is_void=False)
    there = reduce(or_, (_in_group(day, group) for day, group in ran.items()))
    rows = rows.filter(there, _like(outfit, animal, max(ran)))
    found: dict[date, dict[UUID, int]] = defaultdict(dict)
    columns: Any = rows.exclude(animal=animal).order_by("id").values_list("happened_on", "animal_id", "weight_ng")
    for day, key, nanograms in columns:
        found[day][key] = nanograms
    unit = NANOGRAMS[WeightUnit(outfit.weight_unit)]
    return {
        day: Beside(ran[day], spread_of([Fraction(one, unit) for one in some.values()]))
        for day, some in found.items()
        if len(some) >= LEAST
    }


def _covers(stay: GroupMembership, day: date) -> bool:
    return stay.joined_on <= day and (stay.left_on is None or day <= stay.left_on)


def _in_group(day: date, group: Group) -> Q:
    stay = Q(animal__memberships__group=group, animal__memberships__is_void=False)
    stay &= Q(animal__memberships__joined_on__lte=day)
    return stay & Q(happened_on=day) & (Q(animal__memberships__left_on=None) | Q(animal__memberships__left_on__gte=day))


def _like(outfit: Outfit, animal: Animal, day: date) -> Q:
    """Animals of the same sex and, where its birthday is known, of about the same age."""
    alike = next((some for some in _ALIKE if animal.animal_class in some), {animal.animal_class})
    found = Q(animal__animal_class__in=alike)
    if animal.born_on and animal.born_precision in {"day", "instant"}:
        window = timedelta(days=policies_of(outfit).on(day).policy.birth_window)
        found &= Q(animal__born_on__range=(animal.born_on - window, animal.born_on + window))
    return found
