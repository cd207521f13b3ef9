"""Parents, grandparents and great-grandparents of an animal."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Animal

GENERATIONS = 3


@dataclass(slots=True)
class Ancestor:
    """One place in a pedigree: "dam", "sire of the dam" and so on; `animal` is None where it is not known."""

    line: tuple[str, ...]
    animal: Animal | None
    parents: list["Ancestor"] = field(default_factory=list)

    @property
    def words(self) -> str:
        """The place in words, counted from the animal itself."""
        return " of the ".join(reversed(self.line))


def pedigree_of(outfit: Outfit, animal: Animal, generations: int = GENERATIONS) -> list[Ancestor]:
    """Return dam and sire, each with its own parents, in one query a generation."""
    root = Ancestor((), animal)
    level = [root]
    for _ in range(generations):
        wanted = {key for one in level if one.animal for key in (one.animal.dam_id, one.animal.sire_id) if key}
        known = Animal.objects.of(outfit).in_bulk(wanted)
        for one in level:
            one.parents = [_parent(one, name, known) for name in ("dam", "sire")] if one.animal else []
        level = [parent for one in level for parent in one.parents]
    return root.parents


def _parent(one: Ancestor, name: str, known: dict[UUID, Animal]) -> Ancestor:
    key = getattr(one.animal, f"{name}_id")
    return Ancestor((*one.line, name), known.get(key) if key else None)


def flat(pedigree: Iterable[Ancestor]) -> list[Ancestor]:
    """All places, parents before grandparents, the dam's side first."""
    found = list(pedigree)
    for one in found:
        found.extend(one.parents)
    return found
