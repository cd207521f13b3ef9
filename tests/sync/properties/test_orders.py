"""In whatever order phones deliver, and whatever their clocks show, the same comes of it (I7, I12)."""

import random
from copy import deepcopy
from datetime import timedelta

import pytest

from herd.registry.models import Animal
from herd.registry.queries.export import export_outfit
from herd.sync.models import Operation
from herd.values.identity import new_id
from tests.sync.properties.fieldphone import FieldPhone
from tests.sync.properties.machine import quiet, rolled_back
from tests.sync.properties.scenarios import edit, weigh
from tests.sync.properties.world import World, eid_of, make_world

ORDERS = 10
OURS = {"source", "sources", "happened_at", "recorded_at", "at"}


def capture(world: World) -> None:
    """What does not contradict itself, much of it leaning on what another phone does."""
    north, south, trap = world.phones
    made = new_id()
    wrong = weigh(north, world.herd[0], "1180")
    weigh(south, world.herd[0], "1190", hours=48)
    weigh(trap, made, "1170", hours=24)
    data = {"facts": {"entry_class": "cow"}, "tags": [{"kind": "eid", "number": eid_of(500)}]}
    south.capture("animal.register", {"animal": str(made)}, data=data)
    south.capture("event.void", data={"event": wrong, "reason": "wrong head"})
    edit(north, world.herd[1], "breed", "HE")
    edit(trap, world.herd[1], "coat", "red")
    on = {"kind": "eid", "number": eid_of(501), "second_reason": "hard to read"}
    trap.capture("tag.on", {"animal": str(world.herd[3])}, data=on)
    weighed = {"kind": "weight", "data": {"weight": "1210", "unit": "lb"}}
    south.capture("event", {"eid": eid_of(501)}, data=weighed, hours=72)


def deliver(phones: list[FieldPhone], order: list[int]) -> None:
    """One operation of a phone after the other, each phone's own in their order."""
    for number in order:
        phones[number].push(1)


def plain(part: object, inside: str = "") -> object:
    """A part of the export without what is ours alone: sources, exact times, ids of tags and memberships."""
    if isinstance(part, list):
        return [plain(one, inside) for one in part]
    if not isinstance(part, dict):
        return part
    ours = OURS if inside in {"", "events"} else OURS | {"id"}
    return {key: plain(value, key) for key, value in part.items() if key not in ours}


def outcome(world: World, order: list[int]) -> object:
    """The record that comes of an order of delivery, which is then forgotten."""
    with rolled_back():
        here = deepcopy(world)
        deliver(here.phones, order)
        quiet(here)
        assert set(Operation.objects.values_list("status", flat=True)) == {"applied"}
        return [plain(one) for one in export_outfit(here.outfit)]


@pytest.mark.django_db
def test_the_record_is_the_same_in_whatever_order_phones_deliver():
    world = make_world()
    capture(world)
    order = [number for number, phone in enumerate(world.phones) for _ in phone.outbox]
    chance = random.Random(3)  # noqa: S311
    first = outcome(world, order)
    for _ in range(ORDERS):
        assert outcome(world, chance.sample(order, len(order))) == first


@pytest.mark.django_db
@pytest.mark.parametrize("order", [[0, 1], [1, 0]])
def test_of_two_who_contradict_each_other_one_is_in_the_record_and_one_is_asked(order):
    world = make_world()
    edit(world.phones[0], world.herd[0], "breed", "HE")
    edit(world.phones[1], world.herd[0], "breed", "CH")
    deliver(world.phones, order)
    assert sorted(Operation.objects.values_list("status", flat=True)) == ["applied", "review"]
    assert Animal.objects.get(pk=world.herd[0]).breed == ("HE", "CH")[order[0]]


@pytest.mark.django_db
@pytest.mark.parametrize("offset", [timedelta(days=-10_000), timedelta(days=1), timedelta(hours=-3)])
def test_a_clock_that_is_off_changes_no_outcome(offset):
    found = []
    for shown in (timedelta(0), offset):
        with rolled_back():
            world = make_world()
            world.phones[1].offset = shown
            for to, phone in zip(("HE", "CH"), world.phones, strict=False):
                edit(phone, world.herd[0], "breed", to)
                weigh(phone, world.herd[1], hours=48 * (phone is world.phones[1]))
            deliver(world.phones, [0, 0, 1, 1])
            quiet(world)
            rows = Operation.objects.order_by("kind", "dseq", "device__name")
            found.append(([(one.kind, one.status) for one in rows], Animal.objects.get(pk=world.herd[0]).breed))
    assert found[0] == found[1]
