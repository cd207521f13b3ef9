"""How closely bulls are related to females: the inbreeding of every calf they could have together."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus
from herd.values.inbreeding import inbreeding_coefficients
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
    rows = Animal.objects.of(outfit).order_by().values_list("pk", "sire_id", "dam_id")
    parents: dict[Hashable, tuple[Hashable | None, Hashable | None]] = {key: both for key, *both in rows}  # type: ignore[misc]
    pairs = [(bull, female) for bull in bulls for female in females]
    herd = Pedigree.of(parents).above([*bulls, *females])
    known = {herd.animals[place]: _named(herd, place) for place in range(len(herd.animals))}
    pedigree = Pedigree.of({**known, **{pair: pair for pair in pairs}})
    found = inbreeding_coefficients(pedigree)
    matings = [Mating(*pair, found[pair], pedigree.completeness(pair, GENERATIONS)) for pair in pairs]
    return sorted(matings, key=lambda one: (-one.inbreeding, one.bull_id, one.female_id))


def _named(herd: Pedigree[Hashable], place: int) -> tuple[Hashable | None, Hashable | None]:
    sire, dam = (None if parent < 0 else herd.animals[parent] for parent in herd.parents(place))
    return sire, dam
