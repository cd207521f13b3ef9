"""The bridge as a process on pseudo-terminals, against a live server, killed again and again: nothing lost or twice."""

import random
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connections

from herd.bridge import pairs
from herd.bridge.keeping import Keeping, PairState, State
from herd.client import Client
from herd.ledger.models import FeedCounter
from herd.registry.models import Event
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.bridge.wires import Program, Wire, weigh
from tests.cast import eid_tag, register
from tests.config.installation import wait_until

HERD = [f"84027000000{number:04}" for number in range(6)]


@pytest.fixture
def enrolled(live_server, kettle_bench, tmp_path):
    """A scale PC's file, enrolled at the live server, and a herd in the record."""
    for number in HERD:
        register(kettle_bench, eid_tag(number))
    FeedCounter.objects.get_or_create(outfit=kettle_bench)
    made = {"outfit": kettle_bench, "name": "scale", "kind": DeviceKind.SCALE, "role": DeviceRole.CAPTURE, "by": None}
    Client.enrol(live_server.url, make_device(**made)[1], tmp_path / "scale.db").close()
    yield tmp_path
    connections.close_all()


def wires(folder: Path) -> tuple[Wire, Wire]:
    """A reader's and a scale's wire."""
    return Wire(folder / "reader"), Wire(folder / "scale")


def weights() -> list[tuple[str, str]]:
    """EID and weight of each weight in the record."""
    rows = Event.objects.filter(kind="weight", is_void=False).select_related("animal")
    return sorted((one.animal.wearings.get().tag.number, one.data["weight"]) for one in rows)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("seed", [1, 2])
def test_a_day_of_kills_between_reading_and_delivery_loses_and_doubles_nothing(enrolled, seed):
    """Whoever hears no beep brings the animal back, as a person does; the record is what stood on the scale."""
    chance, (reader, scale) = random.Random(seed), wires(enrolled)
    program = Program(enrolled, reader, scale)
    program.start()
    truth, answered = [], []
    for place, number in enumerate(HERD):
        weight = f"{400 + place}.5"
        killer = None
        if place % 2:
            killer = threading.Timer(chance.uniform(0.2, 0.9), program.kill)
            killer.start()
        if weigh(reader, scale, number, weight, stop=lambda one=killer: bool(one) and not one.is_alive()):
            answered.append((number, weight))
        if killer:
            killer.join()
            program.start()
        if (number, weight) not in answered:
            assert weigh(reader, scale, number, weight)
        truth.append((number, weight))
    wait_until(lambda: len(weights()) == len(HERD), "everything has come to the record")
    assert program.end() == 0
    assert weights() == truth
    with Client.open(enrolled / "scale.db") as client:
        assert client.sync() == 0
        assert client.unsent() == client.trouble() == []
    with closing(Keeping(enrolled / "bridge.db")) as keeping:
        given = [(one.number, one.weight.value) for one in pairs.pairs(keeping, (PairState.GIVEN,))]
        assert set(given) == set(truth)
        assert set(answered) <= set(given)
        assert pairs.pairs(keeping, (PairState.OPEN, PairState.READY)) == []
    assert weights() == truth


@pytest.mark.django_db(transaction=True)
def test_a_wire_pulled_in_mid_line_and_put_back_makes_no_number(enrolled):
    reader, scale = wires(enrolled)
    program = Program(enrolled, reader, scale)
    program.start()
    reader.send(HERD[0][:9].encode())
    time.sleep(0.5)
    reader.unplug()
    reader.plug_in()
    program.until_open(1)
    reader.send(HERD[0][9:])
    assert weigh(reader, scale, HERD[1], "431.5")
    wait_until(lambda: weights() == [(HERD[1], "431.5")], "the weight is in the record")
    assert program.end() == 0
    with closing(Keeping(enrolled / "bridge.db")) as keeping:
        assert keeping.readings(State.KEPT) == []
        lines = [(line, understood) for _, port, line, understood in keeping.lines(1000) if port == "reader"]
    assert (HERD[0][:9], "cut off in the middle") in lines
    assert (HERD[0][9:], "no pattern fits") in lines


def test_two_bridges_do_not_share_one_file(tmp_path, capfd):
    reader, scale = wires(tmp_path)
    program = Program(tmp_path, reader, scale)
    program.start()
    with pytest.raises(AssertionError, match="the bridge ended"):
        Program(tmp_path, reader, scale).start()
    assert "Another program is at work on bridge.db" in capfd.readouterr().err
    assert program.end() == 0
