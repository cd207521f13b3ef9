"""Bulls and females that are kin: the inbreeding of the calf each pair would have."""

from fractions import Fraction

import pytest

from herd.registry.services import groups
from herd.reports import breedingkin
from herd.reports.breedingkin import matings_of, of_group
from tests.cast import entry, register


def bull(outfit, **parents):
    return register(outfit, animal_class="bull", **parents)


def test_the_closest_pairs_come_first_with_wrights_coefficients(kettle_bench):
    """Sire and daughter 1/4, half sibs 1/8, strangers 0 (Wright 1922, from memory)."""
    old = bull(kettle_bench)
    young = bull(kettle_bench, sire_id=old)
    daughter, stranger = register(kettle_bench, sire_id=old), register(kettle_bench)
    found = matings_of(kettle_bench, [old, young], [daughter, stranger])
    pairs = [(one.bull_id, one.female_id, one.inbreeding) for one in found]
    assert pairs[:2] == [(old, daughter, Fraction(1, 4)), (young, daughter, Fraction(1, 8))]
    assert {one.inbreeding for one in found[2:]} == {0}


def test_first_cousins_make_a_sixteenth_and_the_known_ancestors_are_counted(kettle_bench):
    """1/16, which is 6.25 per cent (Wright 1922, from memory)."""
    grandsire, grandam = bull(kettle_bench), register(kettle_bench)
    both = {"sire_id": grandsire, "dam_id": grandam}
    son, daughter = bull(kettle_bench, **both), register(kettle_bench, **both)
    young, heifer = bull(kettle_bench, sire_id=son), register(kettle_bench, dam_id=daughter)
    [mating] = matings_of(kettle_bench, [young], [heifer])
    assert mating.inbreeding == Fraction(1, 16)
    # Both parents, two of four grandparents, four of eight before them.
    assert mating.known == Fraction(2, 3)


def test_a_group_gives_its_bulls_or_its_females_that_are_on_hand(kettle_bench):
    group = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    male = register(kettle_bench, animal_class="bull", group_id=group)
    cow = register(kettle_bench, group_id=group)
    bull(kettle_bench)
    assert of_group(kettle_bench, group, ("bull",)) == [male]
    assert of_group(kettle_bench, group, ("cow", "heifer")) == [cow]


def test_too_many_pairs_are_refused_and_one_query_is_enough(kettle_bench, monkeypatch, django_assert_num_queries):
    bulls, cows = [bull(kettle_bench) for _ in range(2)], [register(kettle_bench) for _ in range(3)]
    with django_assert_num_queries(1):
        assert len(matings_of(kettle_bench, bulls, cows)) == 6
    monkeypatch.setattr(breedingkin, "MOST_PAIRS", 5)
    with pytest.raises(ValueError, match="smaller group"):
        matings_of(kettle_bench, bulls, cows)
