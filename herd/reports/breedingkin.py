"""How closely bulls are related to females: the inbreeding of every calf they could have together."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus
from herd.values.figures import Figure, Part
from herd.values.inbreeding import SOURCE, inbreeding_coefficients
from herd.values.pedigree import Pedigree

MOST_PAIRS = 50_000
GENERATIONS = 3


@dataclass(frozen=True, slots=True)
class Mating:
    """A bull and a female: the inbreeding of their calf from 0 to 1, and the share of its ancestors that is known."""

    bull_id: UUID
    female_id: UUID
    inbreeding: Fraction
    known: Fraction


def of_group(outfit: Outfit, group_id: UUID, classes: Sequence[str]) -> list[UUID]:
    """The animals of a group now that are of these classes."""
    here = Animal.objects.of(outfit).filter(group=group_id, status=AnimalStatus.ON_HAND, animal_class__in=classes)
    return list(here.order_by("pk").values_list("pk", flat=True))


def matings_of(outfit: Outfit, bulls: Sequence[UUID], females: Sequence[UUID]) -> list[Mating]:
    """Every pair, the most inbred calf first; one query.

    A calf of each pair is put below the pedigree, so that all coefficients come of one walk. Raises ValueError
    for more than MOST_PAIRS pairs and for a record in which an animal is its own ancestor.
    """
    if len(bulls) * len(females) > MOST_PAIRS:
        raise ValueError(f"That makes more than {MOST_PAIRS:,} pairs; take a smaller group.")
    pairs = [(bull, female) for bull in bulls for female in females]
    pedigree = Pedigree.of(_parents_of(outfit) | {pair: pair for pair in pairs}, pairs)
    found = inbreeding_coefficients(pedigree)
    matings = [Mating(*pair, found[pair], pedigree.completeness(pair, GENERATIONS)) for pair in pairs]
    return sorted(matings, key=lambda one: (-one.inbreeding, one.bull_id, one.female_id))


def figure_of(mating: Mating) -> Figure:
    """The inbreeding of a pair's calf in per cent, with how it was made."""
    parts = (
        Part("relationship of bull and female", mating.inbreeding * 200, "%"),
        Part(f"ancestors known in {GENERATIONS} generations", mating.known * 100, "%"),
    )
    return Figure(mating.inbreeding * 100, "%", "relationship of bull and female / 2", parts, SOURCE)


def in_common(outfit: Outfit, bull: UUID, female: UUID) -> list[tuple[UUID, int, int]]:
    """The ancestors that both have, the nearest first, with how many generations each is above the one and the other.

    Either of the two may be one of them, no generation above itself. Raises ValueError as `matings_of` does.
    """
    herd = Pedigree.of({bull: (None, None), female: (None, None)} | _parents_of(outfit), [bull, female])
    mine, hers = herd.steps_up(bull), herd.steps_up(female)
    found: Any = [(key, mine[key], hers[key]) for key in mine.keys() & hers.keys()]
    return sorted(found, key=lambda one: (one[1] + one[2], one))


def _parents_of(outfit: Outfit) -> dict[Hashable, tuple[Hashable | None, Hashable | None]]:
    """The sire and dam of each animal of which one is known."""
    rows = Animal.objects.of(outfit).filter(Q(sire__isnull=False) | Q(dam__isnull=False)).order_by()
    return {key: (sire, dam) for key, sire, dam in rows.values_list("pk", "sire_id", "dam_id")}
