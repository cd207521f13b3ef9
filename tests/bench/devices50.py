"""Lets fifty devices push and pull at once for a minute over a bad link, and checks afterwards that all of it is true.

    .venv/bin/python -m tests.bench.devices50 [seconds]      # under five minutes for both engines

Each device has its first copy when the minute begins: one takes it, and the others begin with the same file under a
token of their own, since fifty first copies at once are another question (tests.bench.sync times one).

Each device is herd.client with a file of its own; of its calls a tenth lose their answer and a twentieth arrive twice.
The server is the one of `manage.py up`, on SQLite and then on PostgreSQL where one answers. Afterwards each operation
that a device captured must be in the record exactly once, no answer may have been a 5xx, and the copy of a follower
that pulled all the time must be the first copy of a device that comes now. Ends with 1 where something is not so.
"""

import json
import random
import shutil
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import httpx

from herd.client import Client, ClientError, Offline
from herd.client.client import Surroundings
from herd.client.clocks import clocks_of_machine
from herd.client.store import Store
from tests.bench.filling import eid, fill_herd, pounds
from tests.bench.scratch import scratch_installation
from tests.bench.serving import on_both_engines, served

DEVICES = 50
PROCESSES = 5
HEAD = 5_000
EACH = HEAD // DEVICES
AT_ONCE = 5
# Seconds between two calls of a device: a head every two seconds goes through the chute, far more than any crew does.
PAUSE = 10.0
LOST, TWICE = 0.10, 0.05
BEGAN = datetime(2026, 10, 26, 14, 0, tzinfo=UTC)


@dataclass
class Tally:
    """What one device saw: its operations, the answers by status, and how long pushes and pulls took."""

    captured: list[str] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    seconds: dict[str, list[float]] = field(default_factory=lambda: {"push": [], "changes": []})
    faults: Counter[str] = field(default_factory=Counter)


class BadLink(httpx.BaseTransport):
    """A link that loses answers and delivers twice, while `is_bad`."""

    def __init__(self, tally: Tally, seed: int) -> None:
        self.inner = httpx.HTTPTransport()
        self.tally, self.chance, self.is_bad = tally, random.Random(seed), True

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        """Send it, once or twice, and lose the answer or not."""
        request.read()
        lot = self.chance.random() if self.is_bad else 1.0
        answer = self._send(request)
        if lot < TWICE:
            answer = self._send(request)
        elif lot < TWICE + LOST:
            raise httpx.ReadError("cut off")
        return answer

    def _send(self, request: httpx.Request) -> httpx.Response:
        began = time.perf_counter()
        answer = self.inner.handle_request(request)
        answer.read()
        kind = request.url.path.rstrip("/").rpartition("/")[2]
        if kind in self.tally.seconds:
            self.tally.seconds[kind].append(time.perf_counter() - began)
        self.tally.statuses[answer.status_code] += 1
        # Read whole already, so it is handed on without its encoding.
        headers = [(name, value) for name, value in answer.headers.items() if name != "content-encoding"]
        return httpx.Response(answer.status_code, headers=headers, content=answer.content)


def work(path: str, device: int, seconds: float) -> Tally:
    """One device: weigh some, sync, and so on; at the end the link is good and all is delivered."""
    tally = Tally()
    link = BadLink(tally, device)
    around = Surroundings(clocks_of_machine(), lambda wait: time.sleep(min(wait, 0.5)), transport=link)
    client = Client.open(path, around)
    until, count = time.monotonic() + seconds, 0
    chance = random.Random(device)
    time.sleep(chance.random() * PAUSE)
    while time.monotonic() < until:
        began = time.monotonic()
        for _ in range(AT_ONCE):
            number, turn = device * EACH + count % EACH, count // EACH
            at = BEGAN + timedelta(days=turn % 24, hours=turn // 24, seconds=count % EACH)
            tally.captured.append(str(client.weigh(eid(number), str(pounds(number, 2026) + 5), "lb", at=at)))
            count += 1
        try:
            client.sync()
        except ClientError as problem:
            tally.faults[type(problem).__name__] += 1
        time.sleep(max(0.0, PAUSE * (0.5 + chance.random()) - (time.monotonic() - began)))
    link.is_bad = False
    _deliver(client, tally)
    client.close()
    return tally


def _deliver(client: Client, tally: Tally) -> None:
    for _ in range(20):
        try:
            client.sync()
        except Offline as problem:
            tally.faults[type(problem).__name__] += 1
        else:
            return


def work_together(folder: str, devices: range, seconds: float) -> list[Tally]:
    """Some devices in threads of one process."""
    with ThreadPoolExecutor(len(devices)) as pool:
        futures = [pool.submit(work, f"{folder}/{device}.db", device, seconds) for device in devices]
        return [one.result() for one in futures]


def run(seconds: float) -> int:
    """Serve, let the devices work, and check."""
    with scratch_installation() as folder:
        from herd.accounts.services import open_outfit  # noqa: PLC0415
        from herd.sync.devices import enrol, make_device  # noqa: PLC0415
        from herd.sync.models import DeviceKind, DeviceRole  # noqa: PLC0415

        outfit = open_outfit(code="bench", name="Bench")
        fill_herd(outfit, HEAD, 200)

        def enrolled(name: str, address: str, like: Path | None = None) -> Path:
            made = {"outfit": outfit, "name": name, "kind": DeviceKind.SCALE, "role": DeviceRole.CAPTURE, "by": None}
            path = folder / f"{name}.db"
            if like is not None:
                shutil.copy(like, path)
            store = Store.make(path)
            with store.writing():
                store.put(url=address, token=enrol(make_device(**made)[1]).token, outfit="bench", name=name)
            store.close()
            return path

        share = DEVICES // PROCESSES
        with served("up", folder / "server.log") as address:
            first = enrolled("first", address)
            with Client.open(first) as client:
                client.pull()
            for number in range(DEVICES):
                enrolled(str(number), address, first)
            follower = Client.open(enrolled("follower", address, first))
            with ProcessPoolExecutor(PROCESSES, get_context("spawn")) as pool:
                futures = [
                    pool.submit(work_together, str(folder), range(start, start + share), seconds)
                    for start in range(0, DEVICES, share)
                ]
                while not all(one.done() for one in futures):
                    follower.sync()
                    time.sleep(0.5)
                tallies = [tally for one in futures for tally in one.result()]
            follower.sync()
            fresh = Client.open(enrolled("fresh", address))
            fresh.pull()
        return report(tallies, seconds, checks(outfit, tallies, follower, fresh), folder / "server.log")


def checks(outfit: Any, tallies: list[Tally], follower: Client, fresh: Client) -> dict[str, bool]:
    """What must be true afterwards."""
    from herd.registry.models import Event  # noqa: PLC0415
    from herd.sync.models import Operation  # noqa: PLC0415

    captured = Counter(one for tally in tallies for one in tally.captured)
    kept = Counter(str(one) for one in Operation.objects.filter(outfit=outfit).values_list("op_id", flat=True))
    applied = {str(one) for one in Operation.objects.filter(status="applied").values_list("op_id", flat=True)}
    sent = Event.objects.of(outfit).filter(happened_at__gte=BEGAN)
    written = Counter(str(one) for one in sent.values_list("pk", flat=True))
    return {
        "every operation captured is kept once, and no other": kept == captured,
        "every operation applied is one event, and no other": set(written) == applied == set(captured),
        "no answer was a 5xx": not any(status >= 500 for tally in tallies for status in tally.statuses),
        "the follower's copy is the first copy of now": cards(follower) == cards(fresh),
    }


def cards(client: Client) -> dict[str, Any]:
    """All that a device holds."""
    return {key: json.loads(body) for key, body in client._store.run("SELECT id, body FROM card")}


def report(tallies: list[Tally], seconds: float, found: dict[str, bool], log: Path) -> int:
    """Print what was done and what held; 1 where something did not."""
    count = sum(len(tally.captured) for tally in tallies)
    statuses = sum((tally.statuses for tally in tallies), Counter[int]())
    faults = sum((tally.faults for tally in tallies), Counter[str]())
    print(f"  {count:,} operations, {count / seconds:,.0f} a second; answers {dict(statuses)}; told {dict(faults)}")  # noqa: T201
    for kind in ("push", "changes"):
        times = sorted(one for tally in tallies for one in tally.seconds[kind])
        half, late = times[len(times) // 2], times[len(times) * 99 // 100]
        print(f"  {kind:<8} {len(times):6,} calls, median {half * 1e3:6.0f} ms, 99th {late * 1e3:6.0f} ms")  # noqa: T201
    for sentence, holds in found.items():
        print(f"  {'yes' if holds else 'NO':<4} {sentence}", flush=True)  # noqa: T201
    if not all(found.values()):
        print(log.read_text()[-4_000:])  # noqa: T201
    return 0 if all(found.values()) else 1


if __name__ == "__main__":
    length = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    sys.exit(run(length) if sys.argv[2:] == ["here"] else on_both_engines("tests.bench.devices50", str(length), "here"))
