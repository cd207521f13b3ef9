"""A pedigree in order, parents before their young; it refuses loops."""

from collections import deque
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, Self, TypeVar

A = TypeVar("A", bound=Hashable)
NOBODY = -1
_NAMED = 5


@dataclass(frozen=True, slots=True)
class Pedigree(Generic[A]):
    """Animals numbered so that parents come first, with the numbers of their sires and dams.

    `NOBODY` stands for an unknown parent. `generation` is the longest way up to a founder.
    """

    animals: tuple[A, ...]
    number: Mapping[A, int]
    sires: tuple[int, ...]
    dams: tuple[int, ...]
    generation: tuple[int, ...]

    @classmethod
    def of(cls, parents: Mapping[A, tuple[A | None, A | None]], only: Iterable[A] | None = None) -> Self:
        """The pedigree of animals with their (sire, dam), None for unknown; parents not listed are founders.

        With `only` it holds these and their ancestors alone, whose coefficients and relationships are the same.
        Raises ValueError for an animal that is its own ancestor, for one with the same sire and dam, and for one
        of `only` that isn't listed.
        """
        if only is not None:
            parents = _ancestry(parents, only)
        whole: dict[A, tuple[A | None, A | None]] = {}
        for animal, (sire, dam) in parents.items():
            if sire is not None and sire == dam:
                raise ValueError(f"{animal} has {sire} as sire and as dam.")
            whole |= {parent: (None, None) for parent in (sire, dam) if parent is not None and parent not in whole}
            whole[animal] = (sire, dam)
        ordered = _parents_first(whole)
        number = {animal: place for place, animal in enumerate(ordered)}
        sires = tuple(NOBODY if (sire := whole[one][0]) is None else number[sire] for one in ordered)
        dams = tuple(NOBODY if (dam := whole[one][1]) is None else number[dam] for one in ordered)
        return cls(tuple(ordered), number, sires, dams, _generations(sires, dams))

    def parents(self, place: int) -> tuple[int, int]:
        """The numbers of sire and dam."""
        return self.sires[place], self.dams[place]

    def place_of(self, animal: A) -> int:
        """The animal's number; raises ValueError for one that isn't in the pedigree."""
        if animal not in self.number:
            raise ValueError(f"{animal} is not in the pedigree.")
        return self.number[animal]

    def steps_up(self, animal: A) -> dict[A, int]:
        """The animal and all its ancestors, each with the fewest generations up to it.

        Raises ValueError for one not in the pedigree.
        """
        here, found = {self.place_of(animal)}, dict[int, int]()
        while here:
            found |= dict.fromkeys(here, max(found.values(), default=-1) + 1)
            here = {parent for one in here for parent in self.parents(one) if parent != NOBODY} - set(found)
        return {self.animals[place]: steps for place, steps in found.items()}

    def completeness(self, animal: A, generations: int = 3) -> Fraction:
        """The share of ancestors known in so many generations, each generation weighing the same.

        A coefficient from a thin pedigree is too low; this says how thin it is. Computed, no source. Raises
        ValueError for an animal not in the pedigree and for less than one generation.
        """
        if generations < 1:
            raise ValueError("It takes a generation at least.")
        here, known = [self.place_of(animal)], 0
        for back in range(1, generations + 1):
            here = [parent for one in here for parent in (self.sires[one], self.dams[one]) if parent != NOBODY]
            known += len(here) << (generations - back)
        return Fraction(known, generations << generations)


def _ancestry(
    parents: Mapping[A, tuple[A | None, A | None]], animals: Iterable[A]
) -> dict[A, tuple[A | None, A | None]]:
    """The part of the listed animals that holds these and their ancestors."""
    waiting = list(animals)
    for animal in waiting:
        if animal not in parents:
            raise ValueError(f"{animal} is not in the pedigree.")
    kept: dict[A, tuple[A | None, A | None]] = {}
    while waiting:
        animal = waiting.pop()
        if animal not in kept:
            kept[animal] = parents.get(animal, (None, None))
            waiting += [parent for parent in kept[animal] if parent is not None]
    return kept


def _parents_first(whole: Mapping[A, tuple[A | None, A | None]]) -> list[A]:
    waiting = {animal: sum(parent is not None for parent in both) for animal, both in whole.items()}
    young: dict[A, list[A]] = {}
    for animal, both in whole.items():
        for parent in both:
            if parent is not None:
                young.setdefault(parent, []).append(animal)
    ready = deque(animal for animal, count in waiting.items() if not count)
    ordered = []
    while ready:
        ordered.append(animal := ready.popleft())
        for child in young.get(animal, ()):
            waiting[child] -= 1
            if not waiting[child]:
                ready.append(child)
    if len(ordered) < len(whole):
        raise ValueError(_loop_words(whole, set(whole) - set(ordered)))
    return ordered


def _loop_words(whole: Mapping[A, tuple[A | None, A | None]], stuck: set[A]) -> str:
    """A sentence naming a loop: every stuck animal has a stuck parent, so going up must come round."""
    animal = min(stuck, key=str)
    way: list[A] = []
    while animal not in way:
        way.append(animal)
        animal = next(parent for parent in whole[animal] if parent is not None and parent in stuck)
    loop = way[way.index(animal) :]
    more = f" and {len(loop) - _NAMED} more" if len(loop) > _NAMED else ""
    return f"{animal} would be its own ancestor, by way of {', '.join(map(str, loop[:_NAMED]))}{more}."


def _generations(sires: tuple[int, ...], dams: tuple[int, ...]) -> tuple[int, ...]:
    found: list[int] = []
    for sire, dam in zip(sires, dams, strict=True):
        above = [found[parent] for parent in (sire, dam) if parent != NOBODY]
        found.append(1 + max(above) if above else 0)
    return tuple(found)
