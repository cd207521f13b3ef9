"""Inbreeding and relationship against printed pedigrees and against the square table."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herd.values.inbreeding import (
    inbreeding_coefficients,
    inbreeding_of_matings,
    relationship_matrix,
    relationships_of,
    wright_relationship,
)
from herd.values.pedigree import Pedigree

MRODE = Pedigree.of({3: (1, 2), 4: (1, None), 5: (4, 3), 6: (5, 2)})
SAMPLE = Pedigree.of(
    {
        9: (1, 2), 10: (3, 4), 11: (5, 6), 12: (7, 8), 13: (9, 10), 14: (11, 12), 15: (11, 4), 16: (13, 15),
        17: (13, 14),
    }
)  # fmt: skip


def pedigree_of(*lines):
    """A pedigree from lines such as "D,E: A x B"."""
    parents = {}
    for line in lines:
        young, both = line.split(":")
        sire, dam = (one.strip() for one in both.split(" x "))
        parents |= {one.strip(): (sire, dam) for one in young.split(",")}
    return Pedigree.of(parents)


def table_of(pedigree):
    """The relationship matrix by its rule of thumb: half the parents' relationships, one row after the other."""
    table = []
    for place in range(len(pedigree.animals)):
        parents = [parent for parent in pedigree.parents(place) if parent >= 0]
        row = [sum((table[parent][other] for parent in parents), Fraction(0)) / 2 for other in range(place)]
        for other, value in enumerate(row):
            table[other].append(value)
        both = table[parents[0]][parents[1]] if len(parents) == 2 else Fraction(0)
        table.append([*row, 1 + both / 2])
    return table


def test_pe_1_textbook_pedigree():
    # Example of Mrode 2005; coefficients as in a public test file, relationships computed.
    found = inbreeding_coefficients(MRODE)
    assert (found[5], found[6], found[4]) == (Fraction(1, 8), Fraction(1, 8), 0)
    row = relationships_of(MRODE, 6)
    expected = {5: "0.6875", 2: "0.625", 3: "0.5625", 4: "0.3125", 6: "1.125"}
    assert {animal: row[animal] for animal in expected} == {
        animal: Fraction(value) for animal, value in expected.items()
    }


def test_pe_2_sample_pedigree_of_a_public_library():
    # Results as printed in the library's own description, re-checked.
    found = inbreeding_coefficients(SAMPLE)
    assert (found[16], found[17]) == (Fraction("0.0625"), 0)
    (one, between), (_, other) = relationship_matrix(SAMPLE, [14, 16])
    assert round(wright_relationship(between, one, other), 6) == Decimal("0.121268")
    (one, between), (_, other) = relationship_matrix(SAMPLE, [16, 17])
    assert round(wright_relationship(between, one, other), 6) == Decimal("0.333486")


FIGURES = [  # genetic-genealogy.co.uk, figures 64 to 70, re-checked
    ("PE-3 full sibs", ["C,D: A x B", "E,F: C x D", "G,H: E x F", "I: G x H"],
     {"E": "0.25", "G": "0.375", "I": "0.5"}),
    ("PE-4 inbred common ancestor",
     ["D,E: A x B", "G: C x D", "H: E x F", "I: G x H", "L,M: I x J", "O: K x L", "P: M x N", "Q: O x P"],
     {"I": "0.0625", "Q": "0.064453125"}),
    ("PE-5 royal house",
     ["Aahmes,AaNef: Seq x AaI", "AmI,AaII: Aahmes x AaNef", "ThI: AmI x Senseneb", "Aames: AmI x AaII",
      "Hat: ThI x Aames"],
     {"AmI": "0.25", "AaII": "0.25", "ThI": "0", "Aames": "0.375", "Hat": "0.25"}),
    ("PE-6", ["D,E: A x B", "G: C x D", "H: E x F", "J,K: G x H", "M: I x J", "N: K x L", "O: M x N"],
     {"O": "0.0703125"}),
    ("PE-7 parent and young", ["C,D: A x B", "E: C x D", "G: E x F", "H: E x G"], {"H": "0.3125"}),
    ("PE-8",
     ["F: A x B", "G: C x B", "H: C x D", "I: E x F", "J: G x H", "L: J x I", "M: J x K", "N: L x M", "O: L x N"],
     {"J": "0.125", "L": "0.03125", "O": "0.33203125"}),
]  # fmt: skip


@pytest.mark.parametrize("row", FIGURES, ids=lambda row: row[0])
def test_printed_coefficients(row):
    _, lines, printed = row
    found = inbreeding_coefficients(pedigree_of(*lines))
    assert {animal: found[animal] for animal in printed} == {
        animal: Fraction(value) for animal, value in printed.items()
    }


@pytest.mark.parametrize(
    ("sire", "dam", "expected"),
    [
        ("bull", "daughter", "1/4"),  # from memory: parent with young
        ("son", "daughter", "1/8"),  # from memory: half sibs
        ("son", "stranger", "0"),
    ],
)
def test_planned_mating_has_the_coefficient_of_its_calf(sire, dam, expected):
    pedigree = Pedigree.of({"son": ("bull", "cow"), "daughter": ("bull", "other cow"), "stranger": (None, None)})
    assert inbreeding_of_matings(pedigree, sire, [dam]) == {dam: Fraction(expected)}


def test_unknown_parents_are_taken_as_unrelated():
    found = inbreeding_coefficients(Pedigree.of({"calf": ("bull", None), "other": (None, None)}))
    assert set(found.values()) == {0}


def test_pedigree_without_anybody_has_no_coefficients():
    assert inbreeding_coefficients(Pedigree.of({})) == {}


def test_long_line_stays_exact():
    # Parent back to young for 40 generations: the coefficient comes near 1/2 of a whole and is never rounded.
    parents = {1: (0, None)} | {number: (0, number - 1) for number in range(2, 42)}
    found = inbreeding_coefficients(Pedigree.of(parents))
    assert found[41] == Fraction(1, 2) - Fraction(1, 2**41)


def test_strangers_to_the_pedigree_are_refused():
    with pytest.raises(ValueError, match="99 is not in the pedigree"):
        relationships_of(MRODE, 99)
    with pytest.raises(ValueError, match="99 is not in the pedigree"):
        inbreeding_of_matings(MRODE, 5, [2, 99])
    with pytest.raises(ValueError, match="5 can't be sire and dam"):
        inbreeding_of_matings(MRODE, 5, [5])


def test_relationship_with_itself_is_one_at_least():
    with pytest.raises(ValueError, match="1 at least"):
        wright_relationship(Fraction(1, 2), Fraction(1, 2), Fraction(1))


@st.composite
def herds(draw):
    """Pedigrees in which any earlier animals can be parents, in any order of listing."""
    size = draw(st.integers(min_value=1, max_value=24))
    parents = {}
    for number in range(size):
        earlier = st.none() | st.integers(min_value=0, max_value=number - 1) if number else st.none()
        sire, dam = draw(earlier), draw(earlier)
        parents[number] = (sire, None if dam == sire else dam)
    listed = draw(st.permutations(sorted(parents)))
    return Pedigree.of({number: parents[number] for number in listed})


@given(herds())
@settings(max_examples=200)
def test_walks_agree_with_the_square_table_in_every_cell(pedigree):
    table = table_of(pedigree)
    assert relationship_matrix(pedigree, pedigree.animals) == tuple(tuple(row) for row in table)
    found = inbreeding_coefficients(pedigree)
    assert [found[animal] for animal in pedigree.animals] == [table[place][place] - 1 for place in range(len(table))]


@given(herds())
def test_coefficients_are_from_0_to_less_than_1(pedigree):
    assert all(0 <= value < 1 for value in inbreeding_coefficients(pedigree).values())


@given(herds(), st.data())
def test_ancestors_alone_give_the_same_relationships(pedigree, data):
    chosen = data.draw(st.lists(st.sampled_from(pedigree.animals), min_size=1, max_size=3, unique=True))
    parents = {one: tuple(None if at < 0 else pedigree.animals[at] for at in pedigree.parents(place))
               for place, one in enumerate(pedigree.animals)}  # fmt: skip
    part = Pedigree.of(parents, chosen)
    assert relationship_matrix(part, chosen) == relationship_matrix(pedigree, chosen)
    whole = inbreeding_coefficients(pedigree)
    assert all(whole[animal] == value for animal, value in inbreeding_coefficients(part).items())


@given(herds(), st.data())
def test_young_of_a_mating_has_the_coefficient_that_was_foretold(pedigree, data):
    if len(pedigree.animals) < 2:
        return
    sire, dam = data.draw(st.permutations(pedigree.animals))[:2]
    parents = {
        animal: tuple(None if parent < 0 else pedigree.animals[parent] for parent in pedigree.parents(place))
        for place, animal in enumerate(pedigree.animals)
    }
    born = inbreeding_coefficients(Pedigree.of(parents | {"calf": (sire, dam)}))
    assert inbreeding_of_matings(pedigree, sire, [dam])[dam] == born["calf"]
