"""Inbreeding coefficients and relationships from a pedigree, exact.

Wright's coefficient of an animal is half the relationship of its parents (Wright 1922, from memory). The
relationships of one animal with all others are a row of the numerator relationship matrix, taken as T D T'
without building it: up through the animal's ancestors, times the Mendelian variances, down through everybody
(after Henderson 1976 and Colleau 2002, both from memory). So all coefficients take one walk for each sire or each
dam, whichever are fewer, instead of a square table.

Every coefficient of a pedigree of g generations is a whole number over 2 to the power 2g, so the walks run in
whole numbers scaled by a power of two, and nothing is rounded.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Hashable, Mapping, Sequence
from decimal import Context, Decimal
from fractions import Fraction
from typing import TypeVar

from herd.values.pedigree import NOBODY, Pedigree

A = TypeVar("A", bound=Hashable)
_DIGITS = Context(prec=40)
SOURCE = "Wright's coefficient of inbreeding; unknown parents are taken as unrelated and not inbred"


def inbreeding_coefficients(pedigree: Pedigree[A]) -> dict[A, Fraction]:
    """The coefficient of every animal, from 0 to less than 1; 0 where a parent is unknown."""
    scale = _Scale(max(pedigree.generation, default=0))
    found = _coefficients(pedigree, scale)
    return {animal: scale.coefficient(found[place]) for place, animal in enumerate(pedigree.animals)}


def relationships_of(pedigree: Pedigree[A], animal: A) -> dict[A, Fraction]:
    """The animal's relationship with everybody (1/2 with a parent or full sib of an outbred herd).

    With itself it is 1 + its coefficient of inbreeding. Raises ValueError for one not in the pedigree.
    """
    scale = _Scale(max(pedigree.generation, default=0))
    everybody = range(len(pedigree.animals))
    row = _row(pedigree, _coefficients(pedigree, scale), pedigree.place_of(animal), scale, everybody)
    return {other: scale.relationship(row[place]) for place, other in enumerate(pedigree.animals)}


def relationship_matrix(pedigree: Pedigree[A], animals: Sequence[A]) -> tuple[tuple[Fraction, ...], ...]:
    """The numerator relationship matrix of chosen animals, in their order.

    Raises ValueError for one not in the pedigree.
    """
    scale = _Scale(max(pedigree.generation, default=0))
    places = [pedigree.place_of(animal) for animal in animals]
    coefficients = _coefficients(pedigree, scale)
    everybody = range(len(pedigree.animals))
    rows = (_row(pedigree, coefficients, place, scale, everybody) for place in places)
    return tuple(tuple(scale.relationship(row[place]) for place in places) for row in rows)


def inbreeding_of_matings(pedigree: Pedigree[A], sire: A, dams: Sequence[A]) -> dict[A, Fraction]:
    """The coefficient that a calf of the sire would have from each dam.

    Raises ValueError for one not in the pedigree and for the sire among the dams.
    """
    if sire in dams:
        raise ValueError(f"{sire} can't be sire and dam.")
    row = relationships_of(pedigree, sire)
    for dam in dams:
        pedigree.place_of(dam)
    return {dam: row[dam] / 2 for dam in dams}


def wright_relationship(between: Fraction, own: Fraction, other: Fraction) -> Decimal:
    """Wright's coefficient of relationship, to 40 digits: a relationship over the root of both with themselves.

    Raises ValueError where a relationship with itself is below 1.
    """
    if own < 1 or other < 1:
        raise ValueError("An animal's relationship with itself is 1 at least.")
    square = own * other
    root = _DIGITS.sqrt(_DIGITS.divide(Decimal(square.numerator), Decimal(square.denominator)))
    return _DIGITS.divide(_DIGITS.divide(Decimal(between.numerator), Decimal(between.denominator)), root)


class _Scale:
    """The powers of two by which whole numbers stand for fractions, for a pedigree of so many generations."""

    def __init__(self, generations: int) -> None:
        self.way = generations
        self.inbreeding = 2 * generations
        self.variance = self.inbreeding + 2
        # A row holds share x variance, halved once for each generation on the way down.
        self.row = self.way + self.variance + generations

    def coefficient(self, scaled: int) -> Fraction:
        return Fraction(scaled, 1 << self.inbreeding)

    def relationship(self, scaled: int) -> Fraction:
        return Fraction(scaled, 1 << self.row)


def _coefficients(pedigree: Pedigree[A], scale: _Scale) -> list[int]:
    """Scaled coefficients in the pedigree's order.

    1. Take the parent's side with fewer animals; each needs one walk.
    2. Go through the animals, parents first. At the first young of a parent all its ancestors are known, so its
       row can be walked, over parents alone; only what its mates need is kept.
    """
    walked, mates = pedigree.sires, pedigree.dams
    if len(set(mates)) < len(set(walked)):
        walked, mates = mates, walked
    mates_of: dict[int, set[int]] = {}
    for one, mate in zip(walked, mates, strict=True):
        if NOBODY not in (one, mate):
            mates_of.setdefault(one, set()).add(mate)
    breeding = sorted({*walked, *mates} - {NOBODY})
    kept: dict[int, Mapping[int, int]] = {}
    found = [0] * len(walked)
    halved = scale.row + 1 - scale.inbreeding
    for place, (one, mate) in enumerate(zip(walked, mates, strict=True)):
        if NOBODY in (one, mate):
            continue
        if one not in kept:
            row = _row(pedigree, found, one, scale, breeding[: bisect_right(breeding, max(one, *mates_of[one]))])
            kept[one] = {other: row[other] for other in mates_of[one]}
        found[place] = kept[one][mate] >> halved
    return found


def _row(
    pedigree: Pedigree[A], coefficients: Sequence[int], place: int, scale: _Scale, over: Sequence[int]
) -> list[int]:
    """The scaled relationships of one animal with those `over`, in order and with it and all parents among them."""
    shares = _shares(pedigree, place, scale, over)
    sires, dams = pedigree.sires, pedigree.dams
    # One cell more, always 0: an unknown parent has the number -1 and so reads the last one.
    row = [0] * (len(sires) + 1)
    for other, share in shares.items():
        row[other] = share * _variance(pedigree, coefficients, other, scale) << scale.way
    # Those before the animal's first ancestor are related to it through nobody.
    for other in over[bisect_left(over, min(shares)) :]:
        row[other] += row[sires[other]] + row[dams[other]] >> 1
    return row


def _shares(pedigree: Pedigree[A], place: int, scale: _Scale, over: Sequence[int]) -> dict[int, int]:
    """What share of an animal's genes came down from each ancestor, over 2 to the power of `scale.way`."""
    shares = {place: 1 << scale.way}
    for other in reversed(over[: bisect_right(over, place)]):
        half = shares.get(other, 0) >> 1
        if half:
            for parent in pedigree.parents(other):
                if parent != NOBODY:
                    shares[parent] = shares.get(parent, 0) + half
    return shares


def _variance(pedigree: Pedigree[A], coefficients: Sequence[int], place: int, scale: _Scale) -> int:
    """The Mendelian variance: 1/2 less a quarter of the parents' coefficients; an unknown parent counts as -1."""
    one = 1 << scale.inbreeding
    return 2 * one - sum(-one if parent == NOBODY else coefficients[parent] for parent in pedigree.parents(place))
