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
    def of(cls, parents: Mapping[A, tuple[A | None, A | None]]) -> Self:
        """The pedigree of animals with their (sire, dam), None for unknown; parents not listed are founders.

        Raises ValueError for an animal that is its own ancestor and for one with the same sire and dam.
        """
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

    def above(self, animals: Iterable[A]) -> Self:
        """The part that holds only these and their ancestors; their coefficients and relationships stay the same.

        Raises ValueError for one not in the pedigree.
        """
        waiting = [self.place_of(animal) for animal in animals]
        kept: dict[A, tuple[A | None, A | None]] = {}
        while waiting:
            place = waiting.pop()
            if (animal := self.animals[place]) not in kept:
                sire, dam = self.parents(place)
                kept[animal] = (self._named(sire), self._named(dam))
                waiting += [parent for parent in (sire, dam) if parent != NOBODY]
        return self.of(kept)

    def _named(self, place: int) -> A | None:
        return None if place == NOBODY else self.animals[place]

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
        here, known = [self.place_of(animal)], Fraction(0)
        for back in range(1, generations + 1):
            here = [parent for one in here for parent in self.parents(one) if parent != NOBODY]
            known += Fraction(len(here), 2**back)
        return known / generations


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
