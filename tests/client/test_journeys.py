"""Long days over bad links: whatever happens on the way, the record has each captured thing once."""

import random
import threading
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime

import httpx
import pytest
from django.db import connections

from herd.client import Busy, Client, Offline
from herd.ledger.models import FeedCounter
from herd.registry.models import Event
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole, Operation
from tests.cast import eid_tag, register
from tests.client.conftest import EID
from tests.client.linking import URL, Link, answer, around, cut_after, deliver_twice, drop_answer, drop_request

FAULTS = (drop_request, drop_answer, deliver_twice, answer(503), answer(500), answer(200, "<html>"))
HERD = [f"8402700000002{number:02}" for number in range(12)]


class BadLink(Link):
    """A link on which every third call goes wrong in one way or another."""

    def __init__(self, chance: random.Random) -> None:
        super().__init__()
        self.chance = chance

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        if self.chance.random() < 0.35:
            cut = [cut_after(self.chance.randrange(3))] if "snapshot" in request.url.path else []
            self.spoil(self.chance.choice([*FAULTS, self.keep_back, *cut]))
        if self.late and self.chance.random() < 0.3:
            self.deliver_late()
            self.late.clear()
        return super().handle_request(request)


@pytest.mark.parametrize("seed", range(6))
def test_days_on_a_bad_link_lose_and_double_nothing(kettle_bench, code_of, tmp_path, link, seed):
    chance = random.Random(seed)
    for number in HERD:
        register(kettle_bench, eid_tag(number))
    bad = BadLink(chance)
    paths = [tmp_path / "one.db", tmp_path / "two.db"]
    for path in paths:
        Client.enrol(URL, code_of(), path, around(link)).close()
    captured: set[str] = set()
    for hour in range(30):
        client = Client.open(chance.choice(paths), around(bad))
        captured |= {capture(client, chance, f"{hour} {turn}") for turn in range(chance.randrange(6))}
        if chance.random() < 0.5:
            try_to(client.sync)
        client.close()
    for path in paths:
        Client.open(path, around(link)).sync()
    both = [Client.open(path, around(link)) for path in paths]
    assert [client.sync() for client in both] == [0, 0]
    assert {str(one) for one in Event.objects.values_list("pk", flat=True)} == captured
    assert Operation.objects.count() == len(captured)
    assert [client.unsent() + client.trouble() for client in both] == [[], []]
    cards = [sorted((client.find(number)[0] for number in HERD), key=lambda one: one["id"]) for client in both]
    assert cards[0] == cards[1]


def capture(client: Client, chance: random.Random, text: str) -> str:
    return str(client.record("note", chance.choice(HERD), {"note": text}))


def try_to(work: Callable[[], object]) -> None:
    """Whatever goes wrong on the link is told as that, and as nothing else."""
    with suppress(Offline):
        work()


def test_two_devices_meet_in_the_record(scale, code_of, tmp_path, link, cow):
    """One edits the breed, the other the coat; one registers a calf that the other weighs the next day."""
    other = Client.enrol(URL, code_of(), tmp_path / "other.db", around(link))
    scale.sync()
    other.sync()
    scale.edit(cow, breed="HE")
    other.edit(cow, coat="red")
    calf = scale.register([{"kind": "eid", "number": "840270000000777"}], entry_class="heifer", dam=cow)
    scale.sync()
    other.sync()
    scale.sync()
    assert scale.animal(cow) == other.animal(cow)
    assert (scale.animal(cow)["breed"], scale.animal(cow)["coat"]) == ("HE", "red")
    assert other.find("840270000000777")[0]["id"] == str(calf)
    assert other.animal(calf)["dam"] == str(cow)


def test_what_was_taken_back_here_is_taken_back_when_its_animal_turns_up(scale, phone_of_office):
    """A weight of an unknown tag is held, and so is what voids or corrects it."""
    wrong = scale.weigh("840270000000888", "900", "lb")
    fixed = scale.weigh("840270000000888", "810", "lb", at=datetime(2026, 3, 14, 15, tzinfo=UTC))
    scale.sync()
    scale.void(wrong, "another animal")
    scale.correct(fixed, "weight", {"weight": "800", "unit": "lb"})
    scale.sync()
    assert [one["status"] for one in scale.trouble()] == ["held"] * 4
    phone_of_office("840270000000888")
    scale.sync()
    assert scale.trouble() == []
    assert [one["weight"] for one in scale.find("840270000000888")[0]["weights"]] == ["800"]


@pytest.mark.django_db(transaction=True)
def test_over_real_sockets_two_programs_share_one_file(live_server, kettle_bench, tmp_path):
    """One captures while the other delivers, as a script at the chute beside `sync --every`."""
    register(kettle_bench, eid_tag(EID))
    FeedCounter.objects.get_or_create(outfit=kettle_bench)
    made = {"outfit": kettle_bench, "name": "scale", "kind": DeviceKind.SCALE, "role": DeviceRole.CAPTURE, "by": None}
    _, code = make_device(**made)
    path = tmp_path / "scale.db"
    Client.enrol(live_server.url, code, path).close()
    ids: list[str] = []

    def work() -> None:
        chute = Client.open(path)
        ids.extend(str(chute.record("note", EID, {"note": str(number)})) for number in range(60))
        chute.close()

    thread = threading.Thread(target=work)
    thread.start()
    client = Client.open(path)
    while thread.is_alive():
        try:
            client.sync(tries=1)
        except Busy:
            continue
    thread.join()
    client.sync()
    assert len(ids) == 60
    assert {str(one) for one in Event.objects.values_list("pk", flat=True)} == set(ids)
    assert client.unsent() == client.trouble() == []
    connections.close_all()
