"""Histories written by hand, each where one fault of the protocol shows; a sound protocol walks through all of them."""

from collections.abc import Callable
from contextlib import suppress
from copy import deepcopy
from datetime import timedelta
from unittest.mock import patch
from uuid import uuid4

from herd.accounts.models import Outfit
from herd.registry.models import Animal, TagWearing
from herd.sync import cursors, feed, snapshot
from herd.sync.devices import change_state, enrol, make_device
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from herd.values.identity import new_id
from tests.sync.properties import checks
from tests.sync.properties.backup import Backup
from tests.sync.properties.fieldphone import Fault, FieldPhone, NetworkDown
from tests.sync.properties.machine import quiet
from tests.sync.properties.world import TODAY, Office, World, eid_of

Scenario = Callable[[World], None]


def settle(world: World) -> None:
    """The network is quiet, and all promises hold."""
    quiet(world)
    checks.all_promises(world)


def weigh(phone: FieldPhone, animal: object, weight: str = "1180", **more: object) -> str:
    data = {"kind": "weight", "data": {"weight": weight, "unit": "lb"}}
    return str(phone.capture("event", {"animal": str(animal)}, data=data, **more)["op_id"])


def edit(phone: FieldPhone, animal: object, name: str, to: str) -> str:
    change = {name: {"from": phone.seen(str(animal), name), "to": to}}
    return str(phone.capture("animal.edit", {"animal": str(animal)}, set=change)["op_id"])


def sent_twice(world: World) -> None:
    phone = world.phones[0]
    weigh(phone, world.herd[0])
    phone.push(fault=Fault.TWICE)
    phone.send_again(list(phone.answers))
    settle(world)


def answer_lost(world: World) -> None:
    phone = world.phones[0]
    op = weigh(phone, world.herd[0])
    phone.push(fault=Fault.ANSWER_LOST)
    phone.push()
    assert phone.answers[op]["status"] == "applied", "I2: what was stored is answered as it was"
    settle(world)


def one_id_for_two(world: World) -> None:
    phone = world.phones[0]
    op = weigh(phone, world.herd[0])
    phone.push()
    other = {**phone.captured[op], "data": {"kind": "weight", "data": {"weight": "999", "unit": "lb"}}}
    answer = phone._call("POST", "sync/push/", Fault.NONE, 0, {"ops": [other]}).json()["results"][0]
    assert answer["status"] == "quarantined", "I3: other content under a used id is lost"


def cloned_phone(world: World) -> None:
    """A phone's image restored onto a second one works on under the same number."""
    clone = deepcopy(world.phones[0])
    weigh(world.phones[0], world.herd[0])
    weigh(clone, world.herd[1])
    world.phones.append(clone)
    settle(world)


def leaves_the_group(world: World) -> None:
    Office(world).moves(world.herd[1], world.groups[0], TODAY)
    settle(world)


def same_field_twice(world: World) -> None:
    for phone, to in zip(world.phones, ("HE", "CH"), strict=False):
        edit(phone, world.herd[0], "breed", to)
    settle(world)


def later_clock(world: World) -> None:
    """I12: a clock that is ahead wins nothing."""
    first, second = world.phones[:2]
    second.offset = timedelta(days=400)
    edit(first, world.herd[0], "breed", "HE")
    op = edit(second, world.herd[0], "breed", "CH")
    first.push()
    second.push()
    assert second.answers[op]["status"] == "review", "I12: the later clock won"
    settle(world)


def one_tag_for_two(world: World) -> None:
    ops = []
    for phone, animal in zip(world.phones[:2], world.herd[:2], strict=True):
        data = {"kind": "eid", "number": eid_of(500), "second_reason": "odd"}
        ops.append(phone.capture("tag.on", {"animal": str(animal)}, data=data)["op_id"])
        phone.push()
    holder = TagWearing.objects.of(world.outfit).get(tag__number=eid_of(500), ended="")
    assert holder.animal_id == world.herd[0], "I6: the second took the tag from the first"
    assert world.phones[1].answers[ops[1]]["status"] == "review"
    settle(world)


def put_back(world: World) -> None:
    """A backup is put back; what was acknowledged since exists on phones only."""
    backup, phone = Backup(world.outfit), world.phones[0]
    edit(phone, world.herd[0], "breed", "HE")
    weigh(phone, world.herd[1])
    phone.push()
    phone.pull()
    Office(world).edits(world.herd[2], "coat", "red")
    phone.pull()
    backup.put_back()
    # As much is written as was there before, so that the old cursor looks like a good one.
    for number in range(12):
        Office(world).edits(world.herd[3], "coat", ("black", "grey")[number % 2])
    settle(world)


def old_cursor_after_a_restore(world: World) -> None:
    backup, phone = Backup(world.outfit), world.phones[0]
    backup.put_back()
    answer = phone._call("GET", f"sync/changes/?cursor={phone.cursor}", Fault.NONE, 0)
    assert answer.status_code == 409, "I11: a cursor of before the restore was believed"


def cursor_ahead(world: World) -> None:
    phone = world.phones[0]
    head = cursors.head_of(world.outfit)
    ahead = cursors.write_cursor(head, head.position + 5, "")
    answer = phone._call("GET", f"sync/changes/?cursor={ahead}", Fault.NONE, 0)
    assert answer.status_code == 410, "I5: a cursor ahead of the record was believed"


def written_while_a_page_is_made(world: World) -> None:
    phone, made = world.phones[0], feed.animal_items
    Office(world).edits(world.herd[0], "coat", "red")

    def while_others_write(*given: object) -> object:
        items = made(*given)
        Office(world).edits(world.herd[1], "coat", "grey")
        return items

    with patch.object(feed, "animal_items", while_others_write):
        phone.pull(pages=1)
    settle(world)


def written_while_a_copy_is_made(world: World) -> None:
    phone, made = world.phones[0], snapshot.cards_for

    def while_others_write(*given: object) -> object:
        cards = made(*given)
        Office(world).edits(world.herd[0], "coat", "grey")
        return cards

    with patch.object(snapshot, "cards_for", while_others_write):
        phone.first_copy()
    settle(world)


def power_goes_while_a_page_is_kept(world: World) -> None:
    phone, take, left = world.phones[0], FieldPhone._take, [1]
    for animal in world.herd[:3]:
        Office(world).edits(animal, "coat", "red")

    def cut(self: FieldPhone, item: dict) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise NetworkDown
        take(self, item)

    with patch.object(FieldPhone, "_take", cut), suppress(NetworkDown):
        phone.pull()
    settle(world)


def half_of_a_group_is_doubtful(world: World) -> None:
    phone, calf = world.phones[0], str(new_id())
    facts = {"entry_class": "heifer", "dam": str(world.herd[0])}
    phone.capture("animal.register", {"animal": calf}, data={"facts": facts}, group="a")
    calving = {"kind": "calving", "data": {"calf": str(uuid4())}}
    phone.capture("event", {"animal": str(world.herd[0])}, data=calving, group="a")
    settle(world)


def comes_before_what_it_needs(world: World) -> None:
    made = new_id()
    op = weigh(world.phones[0], made)
    world.phones[0].push()
    assert world.phones[0].answers[op]["status"] == "held"
    tags = [{"kind": "eid", "number": eid_of(500)}]
    data = {"facts": {"entry_class": "cow"}, "tags": tags}
    world.phones[1].capture("animal.register", {"animal": str(made)}, data=data)
    settle(world)


def other_group_changes(world: World) -> None:
    Office(world).edits(world.herd[0], "coat", "red")
    settle(world)


def retired(world: World) -> None:
    phone = world.phones[0]
    change_state(Device.objects.get(pk=phone.device), DeviceState.RETIRED)
    answer = phone._call("GET", "sync/snapshot/", Fault.NONE, 0)
    assert answer.status_code == 403, "I10: a retired device reads"


def strangers(world: World) -> None:
    """A device of another outfit knows an id of ours."""
    other = Outfit.objects.create(code="far-rim", name="Far Rim")
    _, code = make_device(outfit=other, name="far", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None)
    enrolled = enrol(code)
    stranger = FieldPhone(enrolled.token, frozenset(), str(enrolled.device.pk))
    change = {"breed": {"from": "AN", "to": "HE"}}
    stranger.capture("animal.edit", {"animal": str(world.herd[0])}, set=change)
    stranger.push()
    assert Animal.objects.get(pk=world.herd[0]).breed == "AN", "I10: another outfit wrote"
    settle(world)


def merged_meanwhile(world: World) -> None:
    Office(world).merges(world.herd[0], world.herd[2])
    op = weigh(world.phones[0], world.herd[2])
    world.phones[0].push()
    stands = str(world.herd[0])
    assert world.phones[0].answers[op].get("animal") == stands, "I3: held, and the animal is here"
    settle(world)


ALL: tuple[Scenario, ...] = (
    sent_twice, answer_lost, one_id_for_two, cloned_phone, leaves_the_group, same_field_twice, later_clock,
    one_tag_for_two, put_back, old_cursor_after_a_restore, cursor_ahead, written_while_a_page_is_made,
    written_while_a_copy_is_made,
    power_goes_while_a_page_is_kept, half_of_a_group_is_doubtful, comes_before_what_it_needs, other_group_changes,
    retired, strangers, merged_meanwhile,
)  # fmt: skip
