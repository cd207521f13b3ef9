"""Phones at a sibling: their work goes on verbatim, once, and is final only by the office's word."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid4

import httpx
import pytest

from herd.client.faults import Offline
from herd.ledger.models import FeedCounter
from herd.registry.models import Event
from herd.sync.models import Device, Operation, Receipt, Upstream
from tests.sync.siblings.pocket import PocketPhone
from tests.sync.siblings.world import World, eid_of


@pytest.fixture
def phone(world: World) -> PocketPhone:
    return world.laptop.phone("north")


def weighs(phone: PocketPhone, animal: UUID, weight: str = "1180", **more: Any) -> str:
    data = {"kind": "weight", "data": {"weight": weight, "unit": "lb"}}
    return str(phone.capture("event", {"animal": str(animal)}, data=data, **more)["op_id"])


def delivers(world: World, phone: PocketPhone) -> None:
    with world.laptop.at.here():
        phone.delivers()


def asks(world: World, phone: PocketPhone) -> None:
    with world.laptop.at.here():
        phone.ask_again()


def test_an_operation_is_relayed_until_the_office_has_it(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    assert list(phone.relayed) == [op_id]
    asks(world, phone)
    assert list(phone.relayed) == [op_id]
    world.settle()
    asks(world, phone)
    assert phone.relayed == {}
    assert phone.answers[op_id]["status"] == "applied"
    world.is_one()


def test_an_operation_reaches_the_office_verbatim_under_its_devices_name_and_clock(world: World, phone: PocketPhone):
    body = phone.captured[weighs(phone, world.herd[0])]
    delivers(world, phone)
    world.settle()
    with world.laptop.at.here():
        ours = Operation.objects.get(op_id=body["op_id"])
    with world.office.at.here():
        theirs = Operation.objects.get(op_id=body["op_id"])
        assert theirs.body == body
        assert (theirs.digest, theirs.happened_at, theirs.dseq) == (ours.digest, ours.happened_at, ours.dseq)
        assert Device.objects.get(pk=theirs.device_id).name == "north"
        assert Event.objects.get(pk=body["op_id"]).recorded_at <= datetime.now(UTC)


def test_an_operation_that_comes_by_two_roads_is_in_the_record_once(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    other = world.office.phone("north by itself")
    with world.office.at.here():
        other.captured[op_id] = phone.captured[op_id]
        other.outbox.append(phone.captured[op_id])
        other.delivers()
    world.settle()
    world.is_one()
    with world.office.at.here():
        assert Event.objects.filter(kind="weight", is_void=False).count() == 1


def test_an_operation_sent_twice_to_the_laptop_is_answered_by_the_office(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.settle()
    with world.laptop.at.here():
        phone.send_again([op_id])
    assert phone.answers[op_id]["status"] == "applied"


def test_a_receipt_of_another_epoch_does_not_count(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.settle()
    with world.laptop.at.here():
        Upstream.objects.update(epoch=uuid4())
        phone.send_again([op_id])
    assert list(phone.relayed) == [op_id]


def test_what_the_office_doubts_is_told_to_the_phone(world: World, phone: PocketPhone):
    world.office.sells(world.herd[0])
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    with world.laptop.at.here():
        assert Event.objects.filter(pk=op_id, is_void=False).exists()
    world.settle()
    asks(world, phone)
    assert phone.answers[op_id]["status"] == "review"
    world.is_one()
    with world.laptop.at.here():
        phone.pull()
        assert not Event.objects.filter(pk=op_id, is_void=False).exists()


def test_a_phones_own_animal_that_turns_out_to_be_another_is_gone_from_its_copy(world: World, phone: PocketPhone):
    world.office.registers(eid_of(900))
    own = str(uuid4())
    tags = [{"kind": "eid", "number": eid_of(900)}]
    phone.capture("animal.register", {"animal": own}, data={"facts": {"entry_class": "cow"}, "tags": tags})
    delivers(world, phone)
    with world.laptop.at.here():
        phone.pull()
        assert ("animal", own) in phone.base
    world.settle()
    with world.laptop.at.here():
        phone.pull()
    assert ("animal", own) not in phone.base
    world.is_one()


def test_work_on_a_phones_retag_goes_on_at_the_office(world: World, phone: PocketPhone):
    data = {"kind": "eid", "number": eid_of(100), "new_number": eid_of(900), "ended": "lost"}
    phone.capture("tag.off", {"animal": str(world.herd[0])}, data=data)
    phone.capture("move", {"animal": str(world.herd[0])}, data={"group": str(world.groups[1])})
    delivers(world, phone)
    # The wearing and the stay have other ids at the office, where the operations are performed anew.
    world.laptop.takes_tag_off(world.herd[0])
    world.laptop.moves(world.herd[0], world.groups[0])
    world.settle()
    world.is_one()
    assert world.office.worn(world.herd[0]) == []
    assert world.office.animal(world.herd[0]).group_id == world.groups[0]
    with world.office.at.here():
        assert not Operation.objects.exclude(status__in=["applied", "merged"]).exists()


def test_what_is_cut_off_on_the_way_goes_again_and_stands_once(world: World, phone: PocketPhone):
    op_id = weighs(phone, world.herd[0])
    delivers(world, phone)
    world.laptop.edits(world.herd[1], coat="red")

    def cut(path: str, request: httpx.Request) -> str:
        return "answer lost" if path.endswith(("/relay/", "/push/")) else ""

    with pytest.raises(Offline):
        world.laptop.at.sync(cut)
    with world.laptop.at.here():
        assert Upstream.objects.get().problem
        assert not Receipt.objects.exclude(status="").exists()
    world.settle()
    world.is_one()
    with world.office.at.here():
        assert Event.objects.filter(pk=op_id, is_void=False).count() == 1


def test_the_laptops_feed_only_goes_forward(world: World, phone: PocketPhone):
    for number in range(3):
        weighs(phone, world.herd[0], str(1000 + 5 * number), hours=-100 + 30 * number)
        delivers(world, phone)
        with world.laptop.at.here():
            before = FeedCounter.objects.get().position
            phone.pull()
        world.settle()
        with world.laptop.at.here():
            assert FeedCounter.objects.get().position > before
            assert str(world.herd[0]) in phone.pull()
