"""Times the look-up of a number among a large herd through the API: median and 99th of many, with their queries.

    .venv/bin/python -m tests.bench.lookup [head] [look-ups]      # 200,000 and 200: under five minutes on both engines

In one process, so that only our own part is timed: the whole of Django from the request on, as the server calls it.
On SQLite, then on PostgreSQL where one answers (NOTCHBOOK_BENCH_POSTGRES).
"""

import gc
import random
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

from tests.bench.filling import eid, fill_herd, multiply_herd
from tests.bench.scratch import scratch_installation
from tests.bench.serving import on_both_engines

PEN = 500
# So many times the herd that is filled row by row; the rest is made inside the database.
TIMES = 100


def main(head: int, times: int) -> None:
    """Fill a herd, enrol a phone, and look numbers up."""
    with scratch_installation():
        from django.core.cache import cache  # noqa: PLC0415
        from django.test import Client  # noqa: PLC0415

        from herd.accounts.services import open_outfit  # noqa: PLC0415
        from herd.sync.devices import enrol, make_device  # noqa: PLC0415
        from herd.sync.models import DeviceKind, DeviceRole  # noqa: PLC0415

        outfit = open_outfit(code="bench", name="Bench")
        fill_herd(outfit, head // TIMES, PEN, weighings=1)
        multiply_herd(head // TIMES, TIMES)
        made = {"outfit": outfit, "name": "P", "kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE, "by": None}
        headers = {"Authorization": f"Bearer {enrol(make_device(**made)[1]).token}"}
        client = Client(SERVER_NAME="localhost")

        def look_up(number: str) -> Any:
            return client.get(f"/api/v1/lookup/?number={number}", headers=headers)

        for name, numbers, finds in questions(head, times):
            look_up(numbers[0])
            cache.clear()
            print(row(name, numbers, look_up, finds))  # noqa: T201


def questions(head: int, times: int) -> Iterator[tuple[str, list[str], bool]]:
    """What is asked: whole EIDs, visual tags, last digits, and numbers that nobody wears; whether all are found."""
    chance = random.Random(7)
    wanted = [chance.randrange(head) for _ in range(times)]
    yield "EID", [eid(one) for one in wanted], True
    yield "visual tag", [str(one + 1) for one in wanted], True
    yield "last six digits of an EID", [eid(one)[-6:] for one in wanted], True
    yield "EID that nobody wears", [str(int(eid(one)) + 1) for one in wanted], False


def row(name: str, numbers: list[str], look_up: Callable[[str], Any], finds: bool) -> str:  # noqa: FBT001
    """Time them one by one."""
    from django.core.cache import cache  # noqa: PLC0415
    from django.db import connection  # noqa: PLC0415

    queries: list[str] = []

    def note(execute: Any, sql: str, *rest: Any) -> Any:
        queries.append(sql)
        return execute(sql, *rest)

    with connection.execute_wrapper(note):
        look_up(numbers[0])
    times = []
    gc.collect()
    for place, number in enumerate(numbers):
        if place % 500 == 0:
            # The rate limit is another matter.
            cache.clear()
        began = time.perf_counter()
        answer = look_up(number)
        times.append((time.perf_counter() - began) * 1_000)
        assert answer.status_code == 200, answer.content
        assert answer.json() or not finds, number
    times.sort()
    median, late = times[len(times) // 2], times[len(times) * 99 // 100]
    return f"{name:<28} median {median:7.1f} ms   99th {late:7.1f} ms   {len(queries)} queries"


if __name__ == "__main__":
    words = [one for one in sys.argv[1:] if one != "here"]
    head, times = [int(one) for one in words] + [200_000, 200][len(words) :]
    if "here" not in sys.argv:
        sys.exit(on_both_engines("tests.bench.lookup", str(head), str(times), "here"))
    main(head, times)
