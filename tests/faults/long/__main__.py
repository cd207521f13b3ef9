"""Builds a server, lets people work, breaks one program after the other, and counts what is in the record."""

import json
import os
import random
import shutil
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import httpx

from tests.faults.long.people import Device, Office
from tests.faults.long.town import FAKETIME, Town

DEVICES, EACH, LINES = 4, 50, 150
HEAD = DEVICES * EACH + LINES
SET_UP = f"""
import json
from herd.accounts.services import open_outfit
from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.bench.filling import fill_herd
outfit = open_outfit(code="bench", name="Kettle Bench")
fill_herd(outfit, {HEAD}, {EACH}, 1)
def token(name, role):
    made = make_device(outfit=outfit, name=name, kind=DeviceKind.SCALE, role=role, by=None)
    return enrol(made[1]).token
names = [f"chute {{n}}" for n in range({DEVICES})]
print(json.dumps([token("office", DeviceRole.OFFICE), *(token(name, DeviceRole.CAPTURE) for name in names)]))
"""
LOOK = """
import json
from collections import Counter
from django.core.management import call_command
from django.db.models import Count, Max
from herd.intake.models import ProcessingDay, StagedRow
from herd.ledger.models import Change, FeedCounter
from herd.registry.models import Event
from herd.sync.models import Operation
call_command("check_record", verbosity=0)
days = {}
for day in ProcessingDay.objects.filter(files__isnull=False):
    days[str(day.pk)] = [day.state, StagedRow.objects.filter(day=day).count()]
weighed = Event.objects.filter(kind="weight", is_void=False)
twice = weighed.filter(happened_at=None).values("animal", "happened_on").annotate(n=Count("pk")).filter(n__gt=1)
counters = [one.position for one in FeedCounter.objects.all()]
print(json.dumps({
    "operations": Counter(str(one) for one in Operation.objects.values_list("op_id", flat=True)),
    "applied": [str(one) for one in Operation.objects.filter(status="applied").values_list("op_id", flat=True)],
    "events": Counter(str(one) for one in weighed.values_list("pk", flat=True)),
    "days": days, "twice": twice.count(),
    "changes": Change.objects.count(), "last": Change.objects.aggregate(n=Max("position"))["n"], "counters": counters,
}))
"""
Blow = tuple[str, Callable[[Town], None]]


def _while_away(name: str, seconds: float) -> Callable[[Town], None]:
    def blow(town: Town) -> None:
        town.kill(name)
        time.sleep(seconds)
        town.start(name)

    return blow


def _disk_full(town: Town) -> None:
    filler = town.disk / "filler"
    with filler.open("wb") as output:
        try:
            while True:
                output.write(bytes(1 << 20))
                output.flush()
        except OSError:
            pass
    time.sleep(6)
    filler.unlink()
    town.restart("database")


def _clock_jump(seconds: int) -> Callable[[Town], None]:
    def blow(town: Town) -> None:
        town.set_clock(seconds)
        time.sleep(12)
        town.set_clock(0)

    return blow


BLOWS: list[Blow] = [
    ("a web process killed", lambda town: town.kill_child("web") or None),
    ("the web server killed, 2 s away", _while_away("web", 2)),
    ("the worker's process killed in its task", lambda town: town.kill_child("worker") or None),
    ("the worker killed, 2 s away", _while_away("worker", 2)),
    ("a process of the database killed", lambda town: town.kill_child("database") or None),
    ("the database killed, 2 s away", _while_away("database", 2)),
    ("the broker killed, 4 s away", _while_away("broker", 4)),
    ("all started again with the clock 2 hours ahead", _clock_jump(7_200)),
    ("all started again with the clock 2 hours behind", _clock_jump(-7_200)),
    ("the database's disk full for 6 s", _disk_full),
]


def blows_here(town: Town) -> list[Blow]:
    """What can be done on this machine; the rest is told."""
    missing = [] if FAKETIME else ["clock"]
    missing += [] if town.has_small_disk else ["disk"]
    for word in missing:
        print(f"not tried here: the {word}")  # noqa: T201
    return [one for one in BLOWS if not any(word in one[0] for word in missing)]


def main(seconds: float, seed: int) -> int:
    """Work, break, mend, count; 1 where something is missing, doubled, or never ends."""
    folder = Path(tempfile.mkdtemp(prefix="notchbook-faults-"))
    town = Town(folder)
    try:
        town.build()
        office_token, *tokens = json.loads(town.run(SET_UP).splitlines()[-1])
        is_over = threading.Event()
        office = Office(town.address, office_token, range(DEVICES * EACH, HEAD), is_over)
        devices = [
            Device.enrolled(folder / f"{n}.db", town.address, token, range(n * EACH, (n + 1) * EACH), is_over)
            for n, token in enumerate(tokens)
        ]
        for one in (office, *devices):
            one.start()
        done = _break(town, seconds, random.Random(seed))
        is_over.set()
        _mend(town, office, devices)
        return _report(done, office, devices, json.loads(town.run(LOOK).splitlines()[-1]))
    finally:
        town.tear_down()
        if not os.environ.get("NOTCHBOOK_KEPT"):
            shutil.rmtree(folder, ignore_errors=True)


def _break(town: Town, seconds: float, chance: random.Random) -> Counter[str]:
    """Every blow in a random order, again and again until the time is up; each at least once."""
    done: Counter[str] = Counter()
    until, blows = time.monotonic() + seconds, blows_here(town)
    while True:
        for name, blow in chance.sample(blows, len(blows)):
            time.sleep(chance.uniform(1, 4))
            print(f"{time.strftime('%H:%M:%S')}  {name}", flush=True)  # noqa: T201
            blow(town)
            done[name] += 1
            for program in town.programs:
                town.restart(program)
            if time.monotonic() > until and len(done) == len(blows):
                return done


def _mend(town: Town, office: Office, devices: list[Device]) -> None:
    """All programs run; devices deliver; what a dead worker had in hand is taken up now and not after its lease."""
    for program in town.programs:
        town.restart(program)
    town.wait_ready()
    for one in (office, *devices):
        one.join(120)
    until = time.monotonic() + 180
    with httpx.Client(base_url=town.address, headers={"Authorization": f"Bearer {office.token}"}, timeout=60) as web:
        while office.apply_all(web) and time.monotonic() < until:
            town.run("from herd.intake.tasks import take_over; take_over()")
            time.sleep(5)


def _report(done: Counter[str], office: Office, devices: list[Device], seen: dict) -> int:
    captured = Counter(one for device in devices for one in device.captured)
    acknowledged = {day: ["applied", LINES] for day in office.days}
    found = {
        "every weighing captured at a device is one operation and one event": seen["operations"] == captured
        and set(seen["applied"]) == set(captured) and all(seen["events"].get(one) == 1 for one in captured),
        "every day acknowledged is there with all its lines, and applied": acknowledged.items() <= seen["days"].items(),
        "no day stands there that was not asked for": len(seen["days"]) - len(office.days) <= 1,
        "no animal has two weights of one day's file": seen["twice"] == 0,
        "the ledger has every position once, up to the outfit's counter": seen["counters"] == [seen["changes"]]
        and seen["last"] == seen["changes"],
    }  # fmt: skip
    for name, times in sorted(done.items()):
        print(f"{times:4}  {name}")  # noqa: T201
    told = sum(one.failures for one in (office, *devices))
    print(f"{len(captured)} weighings, {len(office.days)} days of {LINES} lines; {told} calls failed meanwhile")  # noqa: T201
    for sentence, holds in found.items():
        print(f"{'yes' if holds else 'NO':>4}  {sentence}")  # noqa: T201
    if not all(found.values()):
        kept = {"operations": len(seen["operations"]), "applied": len(seen["applied"]), "captured": len(captured)}
        print(kept, [day for day in seen["days"].items() if day not in acknowledged.items()])  # noqa: T201
    return 0 if all(found.values()) else 1


if __name__ == "__main__":
    given = [*sys.argv[1:], "120", "417"]
    sys.exit(main(float(given[0]), int(given[1]) if len(sys.argv) > 2 else 417))
