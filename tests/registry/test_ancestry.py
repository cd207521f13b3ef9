"""No animal is among its own ancestors, through any number of generations."""

from datetime import date

import pytest

from herd.accounts.models import Outfit
from herd.registry.models import Animal
from herd.registry.queries.pedigree import flat, pedigree_of
from herd.registry.services import animals
from herd.registry.services.batch import Batch, Edit, NewAnimal
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from tests.cast import entry, register


def line_of(outfit: Outfit, generations: int):
    """A line of cows without birth days, each the dam of the next."""
    line = [register(outfit)]
    for _ in range(generations):
        line.append(register(outfit, dam_id=line[-1]))
    return line


def set_dam(outfit: Outfit, animal, dam) -> None:
    row = Animal.objects.get(pk=animal)
    animals.correct(entry=entry(outfit), animal=row, facts={"dam_id": dam}, reason="test")


@pytest.mark.parametrize("generations", [1, 2, 5, 30])
def test_a_descendant_is_no_dam(kettle_bench: Outfit, generations: int) -> None:
    line = line_of(kettle_bench, generations)
    with pytest.raises(Refused, match="can't be its own ancestor") as refusal:
        set_dam(kettle_bench, line[0], line[-1])
    assert refusal.value.refusals[0].field == "dam_id"
    assert Animal.objects.get(pk=line[0]).dam_id is None


def test_the_circle_may_run_through_dam_and_sire(kettle_bench: Outfit) -> None:
    bull = register(kettle_bench, animal_class="bull")
    daughter = register(kettle_bench, sire_id=bull)
    with pytest.raises(Refused, match="own ancestor"):
        set_dam(kettle_bench, bull, daughter)


def test_the_same_ancestor_twice_is_no_circle(kettle_bench: Outfit) -> None:
    bull = register(kettle_bench, animal_class="bull")
    daughter = register(kettle_bench, sire_id=bull)
    calf = register(kettle_bench, dam_id=daughter, sire_id=bull, animal_class="heifer")
    set_dam(kettle_bench, calf, daughter)
    assert Animal.objects.get(pk=calf).dam_id == daughter


def test_new_animals_of_one_batch_are_not_each_others_dams(kettle_bench: Outfit) -> None:
    first = NewAnimal({"entry_class": "cow"})
    second = NewAnimal({"entry_class": "cow", "dam_id": first.id})
    circle = NewAnimal({"entry_class": "cow", "dam_id": second.id}, id=first.id)
    with pytest.raises(Refused, match="own ancestor"):
        write(entry(kettle_bench), Batch(animals=[circle, second]))


def test_two_edits_together_close_no_circle(kettle_bench: Outfit) -> None:
    first, second = register(kettle_bench), register(kettle_bench)
    with pytest.raises(Refused, match="own ancestor"):
        write(entry(kettle_bench), Batch(edits=[Edit(first, {"dam_id": second}), Edit(second, {"dam_id": first})]))


def test_ancestors_are_asked_once_a_generation(kettle_bench: Outfit, django_assert_max_num_queries) -> None:
    line = line_of(kettle_bench, 10)
    calf = register(kettle_bench, animal_class="heifer", born_on=date(2026, 3, 1))
    with django_assert_max_num_queries(34):
        set_dam(kettle_bench, calf, line[-1])


def test_a_pedigree_has_three_generations_and_says_where_each_stands(kettle_bench: Outfit) -> None:
    line = line_of(kettle_bench, 4)
    found = flat(pedigree_of(kettle_bench, Animal.objects.get(pk=line[-1])))
    known = {one.words: one.animal.pk for one in found if one.animal}
    assert known == {"dam": line[3], "dam of the dam": line[2], "dam of the dam of the dam": line[1]}
    assert "sire of the dam of the dam" in {one.words for one in found}
