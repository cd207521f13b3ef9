"""Times what devices ask for: first copy, weighings pushed, changes pulled, one group.

    .venv/bin/python -m tests.bench.sync [head]
"""

import json
import sys
import time
from collections.abc import Callable
from datetime import date
from typing import Any

from tests.bench.scratch import EIDS_FROM, herd_list, scratch_installation


def main(head: int) -> None:
    """Bring a herd in, enrol a phone, and print milliseconds."""
    with scratch_installation():
        walk(head)


def walk(head: int) -> None:
    from django.test import Client  # noqa: PLC0415

    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.intake.days import GivenFile, open_day  # noqa: PLC0415
    from herd.intake.pipeline import apply_day, run  # noqa: PLC0415
    from herd.sync.devices import enrol, make_device  # noqa: PLC0415
    from herd.sync.models import DeviceKind, DeviceRole  # noqa: PLC0415
    from tests.sync.sending import weighing  # noqa: PLC0415

    outfit = open_outfit(code="bench", name="Bench")
    given = GivenFile("herd.csv", herd_list(head), is_herd_list=True)
    worked = date(2026, 3, 1)
    day = open_day(outfit=outfit, person=None, name="herd", worked_on=worked, group=None, files=[given])
    run(day)
    apply_day(day, None)
    _, code = make_device(outfit=outfit, name="P", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None)
    headers = {"Authorization": f"Bearer {enrol(code).token}"}
    client = Client()

    def get(path: str) -> Any:
        answer = client.get(f"/api/v1/sync/{path}", headers=headers)
        return b"".join(answer.streaming_content) if answer.streaming else answer.json()

    def push(some: list[dict[str, Any]]) -> Any:
        body = json.dumps({"ops": some})
        answer = client.post("/api/v1/sync/push/", body, content_type="application/json", headers=headers)
        return answer.json()["results"]

    copy = timed(f"first copy of {head} head", lambda: get("snapshot/"))
    cursor = json.loads(copy.splitlines()[0])["start"]["cursor"]
    sent = [weighing({"eid": str(EIDS_FROM + number)}, str(1000 + number % 400)) for number in range(1_000)]
    results = timed("1,000 weighings pushed, in two", lambda: [*push(sent[:500]), *push(sent[500:])])
    assert {one["status"] for one in results} == {"applied"}
    timed("the same again, answered from what is stored", lambda: [*push(sent[:500]), *push(sent[500:])])
    page = timed("changes after them", lambda: get(f"changes/?cursor={cursor}&limit=1000"))
    timed("one weighing pushed", lambda: push([weighing({"eid": str(EIDS_FROM + 5)}, "1234", minute=3000)]))
    timed("nothing new pulled", lambda: get(f"changes/?cursor={page['cursor']}"))
    number = str(EIDS_FROM + 7)
    times = sorted(clock(lambda: client.get(f"/api/v1/lookup/?number={number}", headers=headers)) for _ in range(100))
    print(f"{'look-up by number, median and 99th of 100':<46} {times[50]:8.1f} ms {times[98]:8.1f} ms")  # noqa: T201


def clock(call: Callable[[], Any]) -> float:
    """Milliseconds that a call takes."""
    began = time.perf_counter()
    call()
    return (time.perf_counter() - began) * 1000


def timed(what: str, call: Callable[[], Any]) -> Any:
    """Print how long a call took and return what it gave."""
    began = time.perf_counter()
    found = call()
    print(f"{what:<46} {(time.perf_counter() - began) * 1000:8.1f} ms")  # noqa: T201
    return found


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
