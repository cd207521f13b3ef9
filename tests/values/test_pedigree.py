"""Pedigrees in order, and what is no pedigree."""

from fractions import Fraction

import pytest

from herd.values.pedigree import NOBODY, Pedigree


def test_parents_come_before_their_young_however_they_are_listed():
    pedigree = Pedigree.of({"calf": ("bull", "cow"), "cow": ("old bull", None), "bull": (None, "dam")})
    for place, animal in enumerate(pedigree.animals):
        assert pedigree.number[animal] == place
        assert all(parent < place for parent in pedigree.parents(place))
    assert set(pedigree.animals) == {"calf", "cow", "bull", "old bull", "dam"}


def test_parent_that_is_not_listed_is_a_founder():
    pedigree = Pedigree.of({"calf": ("bull", None)})
    assert pedigree.parents(pedigree.place_of("bull")) == (NOBODY, NOBODY)
    assert pedigree.generation == (0, 1)


def test_parents_listed_after_their_young_keep_their_own_parents():
    pedigree = Pedigree.of({"calf": ("bull", None), "bull": ("grandsire", None)})
    assert pedigree.generation[pedigree.place_of("calf")] == 2


def test_empty_pedigree_holds_nobody():
    assert Pedigree.of({}).animals == ()


@pytest.mark.parametrize(
    "parents",
    [
        {"a": ("a", None)},
        {"a": ("b", None), "b": (None, "a")},
        {"a": ("b", "x"), "b": ("c", "y"), "c": ("a", "z"), "young": ("a", "w")},
    ],
    ids=["own parent", "own grandparent", "longer"],
)
def test_loop_is_refused_and_named(parents):
    with pytest.raises(ValueError, match="would be its own ancestor, by way of") as refused:
        Pedigree.of(parents)
    assert "young" not in str(refused.value)


def test_long_loop_is_named_in_a_short_sentence():
    parents = {number: ((number + 1) % 300, None) for number in range(300)}
    with pytest.raises(ValueError, match="and 295 more"):
        Pedigree.of(parents)


def test_same_sire_and_dam_are_refused():
    with pytest.raises(ValueError, match="calf has bull as sire and as dam"):
        Pedigree.of({"calf": ("bull", "bull")})


def test_long_line_of_descent_needs_no_recursion():
    pedigree = Pedigree.of({number: (number - 1, None) for number in range(1, 5000)})
    assert pedigree.generation[pedigree.place_of(4999)] == 4999


def test_part_above_an_animal_holds_it_and_its_ancestors_only():
    parents = {"calf": ("bull", "cow"), "sib": ("bull", "cow"), "bull": ("sire", None)}
    part = Pedigree.of(parents, ["calf"])
    assert set(part.animals) == {"calf", "bull", "cow", "sire"}
    assert part.steps_up("calf") == {"calf": 0, "bull": 1, "cow": 1, "sire": 2}
    with pytest.raises(ValueError, match="stray is not in the pedigree"):
        Pedigree.of(parents, ["stray"])


def test_completeness_is_the_known_share_of_each_generation():
    # Computed: both parents, half of the grandparents, none before: (1 + 1/2 + 0) / 3.
    pedigree = Pedigree.of({"calf": ("bull", "cow"), "bull": ("sire", "dam")})
    assert pedigree.completeness("calf") == Fraction(1, 2)
    assert pedigree.completeness("calf", 1) == 1
    assert pedigree.completeness("cow") == 0


def test_questions_without_an_answer_are_refused():
    pedigree = Pedigree.of({"calf": ("bull", "cow")})
    with pytest.raises(ValueError, match="stray is not in the pedigree"):
        pedigree.completeness("stray")
    with pytest.raises(ValueError, match="a generation at least"):
        pedigree.completeness("calf", 0)
