"""Runs: the calves of a season and a lot that was bought, each one changeset that is taken back whole."""

from datetime import date
from decimal import Decimal

import pytest

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, GroupMembership, TagWearing
from herd.registry.queries.export import export_outfit
from herd.registry.services import groups, runs
from herd.registry.services.refused import Refused
from herd.registry.services.runs import Birth, Lot
from herd.registry.undo import undo
from herd.values.mass import Weight, WeightUnit
from tests.cast import entry, register, vid_tag

BORN, BOUGHT = date(2026, 3, 14), date(2026, 4, 2)


@pytest.fixture
def dam(kettle_bench: Outfit):
    group = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    return register(kettle_bench, vid_tag("417"), animal_class="heifer", group_id=group, on=date(2025, 1, 1))


def twin(dam, number: str, **more) -> Birth:
    group = Animal.objects.get(pk=dam).group_id
    return Birth(
        dam,
        BORN,
        facts={"entry_class": "heifer"},
        tags=[vid_tag(number, "green")],
        weight=Weight(Decimal(78), WeightUnit.LB),
        calving={"ease": "2"},
        joins=(group, BORN),
        **more,
    )


def test_twins_come_in_with_dam_tag_group_weight_and_two_calvings(kettle_bench: Outfit, dam) -> None:
    runs.register_births(entry=entry(kettle_bench), births=[twin(dam, "88"), twin(dam, "89")])
    calves = list(Animal.objects.of(kettle_bench).filter(dam=dam))
    assert {(one.born_on, one.animal_class, one.group.name) for one in calves} == {(BORN, "heifer", "Upper Bench")}
    weights = Event.objects.filter(animal__in=calves, kind="weight")
    assert {(one.data["purpose"], one.weight_ng) for one in weights} == {("birth", 78 * 453_592_370_000)}
    calvings = Event.objects.filter(animal=dam, kind="calving")
    assert {one.data["calf"] for one in calvings} == {str(one.pk) for one in calves}
    assert Animal.objects.get(pk=dam).animal_class == "cow"


def test_a_calf_born_dead_is_its_dams_calving_and_no_head(kettle_bench: Outfit, dam) -> None:
    runs.register_births(entry=entry(kettle_bench), births=[Birth(dam, BORN, is_alive=False)])
    assert Event.objects.get(kind="calving").data == {"outcome": "dead"}
    assert Animal.objects.of(kettle_bench).count() == 1


def test_a_run_of_births_is_taken_back_whole(kettle_bench: Outfit, dam) -> None:
    before = list(export_outfit(kettle_bench))
    written = runs.register_births(
        entry=entry(kettle_bench), births=[twin(dam, "88"), Birth(dam, BORN, is_alive=False)]
    )
    assert undo(entry(kettle_bench), written).is_possible
    assert list(export_outfit(kettle_bench)) == before


def lot_of(head: int, **more) -> Lot:
    facts = {"entry_class": "steer", "born_on": date(2025, 4, 1), "born_precision": "month"}
    return Lot([[vid_tag(f"B{place:04}")] for place in range(head)], BOUGHT, facts, "a neighbour", "1,450", **more)


def test_two_thousand_head_come_in_with_few_queries(
    kettle_bench: Outfit, django_assert_max_num_queries
) -> None:
    pen = groups.open_group(entry=entry(kettle_bench), name="Lot 4")
    # Steps of 800 rows; row by row it would be some ten thousand.
    with django_assert_max_num_queries(90):
        written = runs.register_lot(entry=entry(kettle_bench), lot=lot_of(2_000, group_id=pen))
    assert Animal.objects.filter(group=pen, status="on_hand", status_since=BOUGHT).count() == 2_000
    assert TagWearing.objects.filter(worn_from=BOUGHT).count() == 2_000
    assert GroupMembership.objects.filter(group=pen, joined_on=BOUGHT).count() == 2_000
    bought = Event.objects.filter(kind="purchase")
    assert bought.count() == 2_000
    assert bought[0].data == {"seller": "a neighbour", "price": "1,450"}
    assert undo(entry(kettle_bench), written).is_possible
    assert not Animal.objects.of(kettle_bench).exists()


@pytest.mark.parametrize("head", [0, 2_001])
def test_a_lot_has_between_one_and_two_thousand_head(kettle_bench: Outfit, head: int) -> None:
    with pytest.raises(Refused, match="between 1 and 2,000"):
        runs.register_lot(entry=entry(kettle_bench), lot=lot_of(head))


def test_a_lot_with_a_number_in_use_is_refused_whole(kettle_bench: Outfit) -> None:
    register(kettle_bench, vid_tag("B0001"))
    with pytest.raises(Refused, match="B0001 is on another animal"):
        runs.register_lot(entry=entry(kettle_bench), lot=lot_of(3))
    assert Animal.objects.of(kettle_bench).count() == 1
