"""Runs over the API: births with their dams' calvings, and bought lots with runs of numbers."""

from datetime import date

import pytest

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, TagWearing
from herd.registry.services import groups, stock
from tests.cast import entry, register, vid_tag

BORN = "2026-03-14"
CALF = {"kind": "vid", "number": "88", "colour": "green"}


@pytest.fixture
def dam(kettle_bench: Outfit):
    group = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    return register(kettle_bench, vid_tag("417"), animal_class="heifer", group_id=group, on=date(2025, 1, 1))


def birth(dam, **more):
    return {"dam": str(dam), "born_on": BORN, **more}


def test_a_birth_brings_calf_tag_weight_group_and_calving(phone, dam, kettle_bench) -> None:
    living = birth(dam, animal_class="heifer", tags=[CALF], weight="78", unit="lb", ease="2")
    answer = phone.post("births/", {"births": [living, birth(dam, is_alive=False, note="backwards")]})
    assert answer.status_code == 201, answer.content
    [calf] = Animal.objects.of(kettle_bench).filter(dam=dam)
    assert answer.json()["animals"] == [str(calf.pk)]
    assert (calf.animal_class, calf.group.name, str(calf.born_on)) == ("heifer", "Upper Bench", BORN)
    assert Event.objects.get(animal=calf, kind="weight").weight_ng == 78 * 453_592_370_000
    calvings = [one.data for one in Event.objects.filter(animal=dam, kind="calving").order_by("id")]
    assert calvings == [
        {"calf": str(calf.pk), "outcome": "live", "ease": "2"},
        {"outcome": "dead", "note": "backwards"},
    ]


def test_a_calf_may_be_told_to_join_no_group(phone, dam) -> None:
    answer = phone.post("births/", {"births": [birth(dam, tags=[CALF], group=None)]})
    assert Animal.objects.get(pk=answer.json()["animals"][0]).group is None


def test_births_sent_again_under_their_key_are_registered_once(phone, dam, kettle_bench) -> None:
    said = {"births": [birth(dam, is_alive=False)]}
    first, second = (phone.post("births/", said, Idempotency_Key="calf-1") for _ in range(2))
    assert first.json() == second.json()
    assert Event.objects.of(kettle_bench).filter(kind="calving").count() == 1


@pytest.mark.parametrize(
    ("more", "status", "pointer"),
    [
        ({"weight": "heavy"}, 422, "/births/1/weight"),
        ({"born_on": "1026-03-14"}, 422, "/births/1/born_on"),
        ({"born_on": "2099-03-14"}, 422, "/births/1/born_on"),
        ({"tags": [{"kind": "eid", "number": "12"}]}, 422, "/births/1/tags/0/number"),
        ({"is_alive": False, "tags": [CALF]}, 422, "/births/1/tags"),
        ({"animal_class": "cow"}, 400, "/births/1/animal_class"),
    ],
)
def test_what_is_wrong_with_a_birth_stands_beside_it_and_nothing_is_written(
    phone, dam, kettle_bench, more, status, pointer
) -> None:
    answer = phone.post("births/", {"births": [birth(dam), birth(dam) | more]})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (status, pointer), answer.content
    assert Animal.objects.of(kettle_bench).count() == 1


def test_a_dam_of_another_outfit_is_refused(stranger, dam) -> None:
    answer = stranger.post("births/", {"births": [birth(dam, tags=[CALF])]})
    assert answer.status_code == 422
    assert Animal.objects.count() == 1


def test_a_lot_counts_its_numbers_on(phone, kettle_bench) -> None:
    pen = groups.open_group(entry=entry(kettle_bench), name="Lot 4")
    said = {
        "head": 3, "on": "2026-04-02", "group": str(pen), "animal_class": "steer", "seller": "a neighbour",
        "price": "1,450", "vid": {"first": "B099", "colour": "blue"}, "eid": {"first": "840270000000998"},
    }  # fmt: skip
    answer = phone.post("lots/", said)
    assert answer.status_code == 201, answer.content
    animals = [Animal.objects.get(pk=key) for key in answer.json()["animals"]]
    worn = [sorted(one.wearings.values_list("tag__number", flat=True)) for one in animals]
    eids = ["840270000000998", "840270000000999", "840270000001000"]
    assert worn == [sorted(pair) for pair in zip(eids, ["B099", "B100", "B101"], strict=True)]
    assert {(one.group_id, one.origin) for one in animals} == {(pen, "a neighbour")}
    assert Event.objects.filter(kind="purchase", data__price="1,450").count() == 3


def test_a_lot_takes_numbers_from_stock(phone, kettle_bench) -> None:
    stock.receive(entry=entry(kettle_bench), kind="vid", first="700", last="703", colour="red")
    answer = phone.post("lots/", {"head": 4, "on": "2026-04-02", "vid": {}})
    assert answer.status_code == 201, answer.content
    assert set(TagWearing.objects.values_list("tag__number", flat=True)) == {"700", "701", "702", "703"}
    more = phone.post("lots/", {"head": 1, "on": "2026-04-02", "vid": {}})
    assert (more.status_code, more.json()["errors"][0]["pointer"]) == (422, "/vid/first")


@pytest.mark.parametrize(
    ("more", "pointer"),
    [({}, "/vid"), ({"vid": {"first": "none"}}, "/vid/first"), ({"eid": {"first": "840999999999999"}}, "/eid/first")],
)
def test_a_lot_that_nobody_could_tell_apart_is_refused(phone, more, pointer) -> None:
    answer = phone.post("lots/", {"head": 2, "on": "2026-04-02", **more})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, pointer), answer.content
    assert not Animal.objects.exists()


def test_readers_register_nothing(reader, dam) -> None:
    assert reader.post("births/", {"births": [birth(dam)]}).status_code == 403
    assert reader.post("lots/", {"head": 1, "on": BORN, "vid": {"first": "1"}}).status_code == 403
