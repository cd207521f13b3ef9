"""The walk of a device over a live server, timed: first copy, 1,000 weighings, 100 changed head, one pen.

    .venv/bin/python -m tests.bench.syncwalk FILE [head]

Run by tests.bench.sync, once for each database; writes the documents for the other side into FILE, and prints one
object of milliseconds.
"""

import json
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from typing import Any

from tests.bench.filling import eid, fill_herd, pounds
from tests.bench.scratch import scratch_installation
from tests.bench.serving import served, servers

ROUNDS = 3
PEN = 200
PUSHED = 1_000
CHANGED = 100
BEGAN = datetime(2026, 10, 26, 15, 0, tzinfo=UTC)

Times = dict[str, list[float]]


def main(documents: Path, head: int) -> None:
    """Fill a herd, serve it, walk, and print what the steps took."""
    with scratch_installation() as folder:
        from herd.accounts.services import open_outfit  # noqa: PLC0415

        outfit = open_outfit(code="bench", name="Bench")
        pens = fill_herd(outfit, head, PEN)
        found: dict[str, dict[str, float]] = {}
        for place, server in enumerate(servers()):
            times: Times = {}
            with served(server, Path(documents.parent) / "server.log") as address:
                # The worker that `up` starts takes a while to stand.
                time.sleep(4)
                walk = Walk(outfit, address, folder / server, times)
                for turn in range(ROUNDS):
                    walk.round(place * ROUNDS + turn, pens[turn], head)
            found[server] = {name: median(some) for name, some in times.items()}
        documents.write_text(json.dumps(documents_of(walk.copy, pens[0], head)))
    print(json.dumps(found))  # noqa: T201


class Walk:
    """One server's rounds, each with a device of its own."""

    def __init__(self, outfit: Any, address: str, folder: Path, times: Times) -> None:
        folder.mkdir(exist_ok=True)
        self.outfit, self.address, self.folder, self.times = outfit, address, folder, times
        self.copy = folder / "none"
        self.made = 0

    def device(self, groups: tuple[Any, ...] = ()) -> Any:
        """A device enrolled here, with a file of its own."""
        from herd.client import Client  # noqa: PLC0415
        from herd.sync.devices import make_device  # noqa: PLC0415
        from herd.sync.models import DeviceKind, DeviceRole  # noqa: PLC0415

        self.made += 1
        name = f"{self.folder.name} {self.made}"
        made = {"outfit": self.outfit, "name": name, "kind": DeviceKind.SCALE, "role": DeviceRole.CAPTURE, "by": None}
        _, code = make_device(**made, groups=groups)
        return Client.enrol(self.address, code, self.folder / f"{name}.db")

    def timed(self, name: str, work: Callable[[], Any]) -> Any:
        """Note how many milliseconds it took."""
        began = time.perf_counter()
        found = work()
        self.times.setdefault(name, []).append((time.perf_counter() - began) * 1_000)
        return found

    def round(self, turn: int, pen: Any, head: int) -> None:
        """A device takes its first copy, pushes, gets what another changed; a third copies one pen."""
        scale, other, phone = self.device(), self.device(), self.device((pen.pk,))
        self.timed("copy", scale.pull)
        self.copy = self.folder / f"{self.folder.name} {self.made - 2}.db"
        weigh(scale, turn, range(turn * PUSHED, (turn + 1) * PUSHED))
        pushed = self.timed("push", scale.push)
        self.timed("own back", scale.pull)
        self.timed("nothing", scale.pull)
        changed = range(head - (turn + 1) * CHANGED, head - turn * CHANGED)
        weigh(other, turn, changed)
        other.push()
        self.timed("pull", scale.pull)
        self.timed("pen", phone.pull)
        self.check(scale, phone, pushed, pen, eid(changed[0]))
        self.resend(scale)

    def resend(self, scale: Any) -> None:
        """The answer to a push was lost: the device sends the same again."""
        scale._store.run("UPDATE operation SET status = 'unsent', epoch = ''")
        self.timed("push again", scale.push)

    def check(self, scale: Any, phone: Any, pushed: int, pen: Any, number: str) -> None:
        """Whether all of it is true: nothing is timed that did not happen."""
        (card,) = scale.find(number)
        assert card["weights"][0]["on"] in {str((BEGAN + timedelta(days=day)).date()) for day in range(3)}, card
        assert pushed == PUSHED, pushed
        assert not scale.trouble(), scale.trouble()[:1]
        assert len(phone.expected(pen.pk)) == PEN


def weigh(client: Any, turn: int, numbers: range) -> None:
    """Weigh these animals, each once, named by the EID that the reader sees."""
    for place, number in enumerate(numbers):
        at = BEGAN + timedelta(days=turn % 3, seconds=20 * place)
        client.weigh(eid(number), str(pounds(number, 2026) + 5), "lb", at=at)


def documents_of(copy: Path, pen: Any, head: int) -> dict[str, Any]:
    """The same cards and weighings for the other side."""
    import sqlite3  # noqa: PLC0415

    with sqlite3.connect(copy) as base:
        cards = [json.loads(body) for (body,) in base.execute("SELECT body FROM card WHERE kind = 'animal'")]
        bodies = [json.loads(body) for (body,) in base.execute("SELECT body FROM operation ORDER BY dseq")]
    assert (len(cards), len(bodies)) == (head, PUSHED)
    events = [
        [{"_id": f"event:{turn}:{one['op_id']}", "type": "event", **one} for one in bodies] for turn in range(ROUNDS)
    ]
    return {"cards": cards, "events": events, "pen": str(pen.pk)}


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 10_000)
