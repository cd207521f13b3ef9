"""How pages and look-ups grow with the herd, and with the number of outfits in the same database.

    .venv/bin/python -m tests.bench.growth --heads 10000 100000 --outfits 1 10 [--engine sqlite|postgresql]

The exponent is that of a power law through the first and the last size: 0 where size costs nothing, 1 where ten times
the herd costs ten times as long. With more outfits the one that is asked keeps 10,000 head, each other one has 200.
"""

import argparse
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from math import log
from typing import Any

from tests.bench.bigday import close
from tests.bench.filling import eid, fill_herd, multiply_herd, spread_herd
from tests.bench.scratch import scratch_installation
from tests.bench.serving import scratch_database

PEN, MOST_FILLED, OWN_HEAD, OTHERS_HEAD = 500, 10_000, 10_000, 200
TURNS, LONGEST = 5, 5.0


def main() -> None:
    """Measure each size in a process of its own, since Django is set up once, and print how figures grow."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--heads", type=int, nargs="*", default=[10_000, 100_000, 1_000_000])
    asked.add_argument("--outfits", type=int, nargs="*", default=[1, 10, 1_000])
    asked.add_argument("--engine", choices=("sqlite", "postgresql"), default="sqlite")
    asked.add_argument("--one", type=int, nargs=2, help="Head and outfits of one size; prints JSON.")
    given = asked.parse_args()
    if given.one:
        print(json.dumps(one_size(*given.one, on_postgres=given.engine == "postgresql")))  # noqa: T201
        return
    print(f"{given.engine}: milliseconds (those of this process), queries")  # noqa: T201
    table("head", given.heads, [(head, 1) for head in given.heads], given.engine)
    table("outfits", given.outfits, [(OWN_HEAD, count) for count in given.outfits], given.engine)


def table(word: str, counts: list[int], sizes: list[tuple[int, int]], engine: str) -> None:
    """One line for each question, one column for each size."""
    found = [_in_a_process(head, outfits, engine) for head, outfits in sizes]
    if not found:
        return
    print(f"{word:<24}" + "".join(f"{count:>26,}" for count in counts) + "   exponent")  # noqa: T201
    for name in found[0]:
        cells = [f"{one[name][0]:9.1f} ({one[name][1]:7.1f}) {one[name][2]:3} q" for one in found]
        span = log(counts[-1] / counts[0]) if len(counts) > 1 else 0
        exponent = f"{log(found[-1][name][1] / found[0][name][1]) / span:8.2f}" if span else ""
        print(f"{name:<24}" + "".join(f"{cell:>26}" for cell in cells) + f"   {exponent}")  # noqa: T201


def _in_a_process(head: int, outfits: int, engine: str) -> dict[str, tuple[float, float, int]]:
    command = [sys.executable, "-m", "tests.bench.growth", "--engine", engine, "--one", str(head), str(outfits)]
    answer = subprocess.run(command, check=True, capture_output=True, text=True)
    return dict(json.loads(answer.stdout.splitlines()[-1]))


def one_size(head: int, outfits: int, *, on_postgres: bool) -> dict[str, tuple[float, float, int]]:
    """Milliseconds, those of this process, and queries of each question in a herd of this size."""
    with scratch_database() if on_postgres else nullcontext("") as url:
        if on_postgres and not url:
            raise SystemExit("No PostgreSQL answers on this machine.")
        os.environ["NOTCHBOOK_BENCH_DATABASE_URL"] = url
        with scratch_installation():
            found = {name: measured(question) for name, question in questions(head, outfits)}
            close()
    return found


def questions(head: int, outfits: int) -> Iterator[tuple[str, Callable[[], Any]]]:
    """Fill the herds and tell what is asked."""
    from django.conf import settings  # noqa: PLC0415
    from django.core.cache import cache  # noqa: PLC0415
    from django.core.management import call_command  # noqa: PLC0415
    from django.test import Client  # noqa: PLC0415
    from django.urls import reverse  # noqa: PLC0415

    from herd.accounts.models import OutfitPerson, Person, Role  # noqa: PLC0415
    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.registry.models import Animal  # noqa: PLC0415
    from herd.sync.devices import enrol, make_device  # noqa: PLC0415
    from herd.sync.models import DeviceKind, DeviceRole  # noqa: PLC0415

    call_command("collectstatic", verbosity=0, interactive=False)
    settings.ALLOWED_HOSTS = ["testserver"]
    outfit = open_outfit(code="bench", name="Bench")
    filled = min(head, MOST_FILLED)
    fill_herd(outfit, filled, PEN, weighings=1)
    if head > filled:
        multiply_herd(filled, head // filled)
    if outfits > 1:
        others = [open_outfit(code=f"o{number}", name=f"Other {number}") for number in range(outfits - 1)]
        fill_herd(others[0], OTHERS_HEAD, OTHERS_HEAD, weighings=1)
        spread_herd(others[0])
    person = Person.objects.create_user(username="bench", password="a bench of some length")
    OutfitPerson.objects.create(outfit=outfit, person=person, role=Role.OWNER)
    made = {"outfit": outfit, "name": "P", "kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE, "by": None}
    headers = {"Authorization": f"Bearer {enrol(make_device(**made)[1]).token}"}
    client = Client()
    client.force_login(person)
    some = Animal.objects.of(outfit).order_by("pk")[filled // 2]

    def page(name: str, *at: Any) -> Callable[[], Any]:
        def get() -> None:
            answer = client.get(reverse(f"office:{name}", args=at))
            assert answer.status_code == 200, answer.status_code

        return get

    def look_up() -> None:
        cache.clear()
        answer = client.get(f"/api/v1/lookup/?number={eid(head // 3)}", headers=headers)
        assert answer.json(), answer.content

    yield "herd list, first page", page("herd")
    yield "animal", page("animal", some.pk)
    yield "statement of head", page("report-head")
    yield "look-up of an EID", look_up


def measured(work: Callable[[], Any]) -> tuple[float, float, int]:
    """The best of some turns after one to warm up, of fewer where they take long, and the queries of one."""
    from django.db import connection  # noqa: PLC0415
    from django.test.utils import CaptureQueriesContext  # noqa: PLC0415

    with CaptureQueriesContext(connection) as caught:
        work()
        queries = len(caught)
    best, until = [float("inf")] * 2, time.perf_counter() + LONGEST
    for turn in range(TURNS):
        if turn and time.perf_counter() > until:
            break
        began = time.perf_counter(), time.process_time()
        work()
        best = [min(best[0], time.perf_counter() - began[0]), min(best[1], time.process_time() - began[1])]
    return best[0] * 1_000, best[1] * 1_000, queries


if __name__ == "__main__":
    main()
