"""Animals: registered and corrected, with parents that can be parents."""

from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.registry.models import Animal
from herd.registry.services import animals
from herd.registry.services.batch import Batch, NewAnimal, NewEvent
from herd.registry.services.refused import Refused
from herd.registry.services.writer import write
from tests.cast import entry, register


def correct(outfit: Outfit, animal_id: UUID, **facts: object) -> None:
    animal = Animal.objects.get(pk=animal_id)
    animals.correct(entry=entry(outfit), animal=animal, facts=facts, reason="book says so")


def test_a_new_animal_is_on_hand_since_it_came(kettle_bench: Outfit) -> None:
    animal = Animal.objects.get(pk=register(kettle_bench, animal_class="heifer", on=date(2024, 3, 1)))
    assert (animal.animal_class, animal.status, animal.status_since) == (
        "heifer",
        "on_hand",
        date(2024, 3, 1),
    )


def test_a_corrected_fact_keeps_what_stood_before_with_the_reason(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, coat="black")
    correct(kettle_bench, cow, coat="red")
    change = Change.objects.order_by("position").last()
    assert change is not None
    assert (change.before, change.after, change.reason) == (
        {"coat": "black"},
        {"coat": "red"},
        "book says so",
    )
    assert Animal.objects.get(pk=cow).revision == 2


def test_a_correction_that_changes_nothing_leaves_no_trace(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench, coat="black")
    before = Change.objects.count()
    correct(kettle_bench, cow, coat="black")
    assert Change.objects.count() == before


def test_a_calf_may_stand_before_its_dam_in_one_batch(kettle_bench: Outfit) -> None:
    dam = NewAnimal({"entry_class": "cow", "born_on": date(2020, 3, 1)})
    calf = NewAnimal({"entry_class": "bull", "born_on": date(2024, 3, 1), "dam_id": dam.id})
    write(entry(kettle_bench), Batch(animals=[calf, dam]))
    assert Animal.objects.get(pk=calf.id).dam_id == dam.id


@pytest.mark.parametrize(
    ("column", "parent_class", "says"),
    [
        ("dam_id", "bull", "A bull can't be a dam"),
        ("dam_id", "steer", "A steer can't be a dam"),
        ("sire_id", "cow", "A cow can't be a sire"),
        ("sire_id", "steer", "A steer can't be a sire"),
    ],
)
def test_a_parent_of_the_wrong_class_is_refused(
    kettle_bench: Outfit, column: str, parent_class: str, says: str
) -> None:
    parent = register(kettle_bench, animal_class=parent_class)
    with pytest.raises(Refused, match=says):
        register(kettle_bench, animal_class="heifer", **{column: parent})


def test_a_parent_is_older_than_its_calf(kettle_bench: Outfit) -> None:
    dam = register(kettle_bench, born_on=date(2024, 4, 1))
    with pytest.raises(Refused, match="not before the calf"):
        register(kettle_bench, animal_class="heifer", born_on=date(2024, 3, 1), dam_id=dam)
    calf = register(kettle_bench, animal_class="heifer", born_on=date(2026, 3, 1), dam_id=dam)
    with pytest.raises(Refused, match="not before the calf"):
        correct(kettle_bench, calf, born_on=date(2024, 3, 1))


def test_an_animal_is_not_its_own_dam(kettle_bench: Outfit) -> None:
    cow = register(kettle_bench)
    with pytest.raises(Refused, match="its own dam"):
        correct(kettle_bench, cow, dam_id=cow)
    with pytest.raises(IntegrityError), transaction.atomic():
        Animal.objects.filter(pk=cow).update(dam=cow)


def test_a_sire_castrated_later_stays_the_sire(kettle_bench: Outfit) -> None:
    sire = register(kettle_bench, animal_class="bull")
    calf = register(kettle_bench, animal_class="heifer", sire_id=sire)
    write(entry(kettle_bench), Batch(events=[NewEvent(sire, "castration", date(2025, 5, 1))]))
    correct(kettle_bench, calf, coat="red", sire_id=sire)
    assert Animal.objects.get(pk=calf).sire_id == sire


def test_an_unknown_parent_is_refused(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="The dam is not in this outfit's record"):
        register(kettle_bench, animal_class="heifer", dam_id=uuid4())


def test_an_unknown_fact_is_refused(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="no fact called temperament"):
        register(kettle_bench, temperament="wild")


def test_a_birth_in_the_future_is_refused(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="lies in the future"):
        register(kettle_bench, born_on=timezone.now().date() + timedelta(days=3))


def test_every_reason_is_told_and_nothing_is_written(kettle_bench: Outfit) -> None:
    batch = Batch(animals=[NewAnimal({"dam_id": uuid4()}), NewAnimal({"temper": "mild"})])
    with pytest.raises(Refused) as refusal:
        write(entry(kettle_bench), batch)
    assert len(refusal.value.refusals) == 2
    assert not Animal.objects.exists()
    assert not Change.objects.exists()


def test_a_row_of_the_record_is_never_deleted(kettle_bench: Outfit) -> None:
    animal = Animal.objects.get(pk=register(kettle_bench))
    with pytest.raises(TypeError, match="never deleted"):
        animal.delete()
    with pytest.raises(TypeError, match="never deleted"):
        Animal.objects.all().delete()
