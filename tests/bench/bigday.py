"""Times a large field file into a large herd, upload to applied, beside two peers in the same run.

    .venv/bin/python -m tests.bench.bigday --head 100000 --rows 10000 [--engine sqlite|postgresql] [--profile STAGE]

With --head 0 it is the herd list with which an outfit begins, and there are no upserts beside it.
The peers are an import-export resource that does plain upserts of the same rows, and executemany (SQLite) or COPY
(PostgreSQL) of exactly the rows that we write, into the same tables. CPU seconds are those of this process alone.
"""

import argparse
import cProfile
import gc
import os
import pstats
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from datetime import date
from pathlib import Path
from typing import Any

from tests.bench.filling import eid, fill_herd, multiply_herd, pounds
from tests.bench.scratch import herd_list, scratch_installation
from tests.bench.serving import scratch_database

PEN = 500
MOST_FILLED = 10_000
WORKED_ON = date(2026, 11, 10)
RESULTS = ("bred", "open", "90 days")


def main() -> None:
    """Run on the engines asked for."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--head", type=int, default=100_000)
    asked.add_argument("--rows", type=int, default=10_000)
    asked.add_argument("--engine", choices=("sqlite", "postgresql"), default="sqlite")
    asked.add_argument("--profile", choices=("read", "decide", "apply"), default="")
    given = asked.parse_args()
    on_postgres = given.engine == "postgresql"
    with scratch_database() if on_postgres else nullcontext("") as url:
        if on_postgres and not url:
            raise SystemExit("No PostgreSQL answers on this machine.")
        os.environ["NOTCHBOOK_BENCH_DATABASE_URL"] = url
        with scratch_installation():
            walk(given.head, given.rows, given.profile)
            close()


def walk(head: int, rows: int, profiled: str) -> None:
    """Fill a herd, take the file through its stages, then let the peers do theirs."""
    from django.db import connection  # noqa: PLC0415

    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.intake.days import GivenFile  # noqa: PLC0415
    from tests.bench.bigpeers import raw_seconds, upsert_seconds, written_tables  # noqa: PLC0415

    outfit = open_outfit(code="bench", name="Bench")
    fill(outfit, head)
    content = day_file(head, rows) if head else herd_list(rows)
    before = written_tables()
    print(f"{connection.vendor}: {rows:,} rows into {head:,} head, {len(content) / 1e6:.1f} MB")  # noqa: T201
    forget_peak()
    wall, cpu = take_through(outfit, GivenFile("file.csv", content, is_herd_list=not head), rows, profiled)
    raw, count = raw_seconds(before)
    told("upload to applied", rows, wall, cpu)
    told(f"raw insert of the {count:,} rows written", rows, *raw)
    print(f"ours / raw {wall / raw[0]:.1f} (CPU {cpu / raw[1]:.1f})")  # noqa: T201
    if head:
        upsert = upsert_seconds(content, rows)
        told("import-export upserts, half of them existing", rows, *upsert)
        print(f"import-export / ours {upsert[0] / wall:.1f} (CPU {upsert[1] / cpu:.1f})")  # noqa: T201


def fill(outfit: Any, head: int) -> None:
    """Fill a herd, the first ten thousand head row by row and the rest inside the database."""
    filled = min(head, MOST_FILLED)
    if filled:
        fill_herd(outfit, filled, PEN, weighings=1)
    if head > filled:
        multiply_herd(filled, head // filled)


def take_through(outfit: Any, given: Any, rows: int, profiled: str) -> tuple[float, float]:
    """Upload, read, decide and apply; return wall and CPU seconds in all."""
    from herd.intake.days import open_day  # noqa: PLC0415
    from herd.intake.models import DayState, ProcessingDay  # noqa: PLC0415
    from herd.intake.pipeline import apply_day  # noqa: PLC0415
    from herd.intake.steps.read import read_files  # noqa: PLC0415
    from herd.intake.steps.settle import settle_day  # noqa: PLC0415

    began = time.perf_counter(), time.process_time()
    opened = open_day(outfit=outfit, person=None, name="big", worked_on=WORKED_ON, group=None, files=[given])
    day = ProcessingDay.objects.get(pk=opened.pk)
    stages: tuple[tuple[str, str, Callable[[Any], Any]], ...] = (
        ("read", "read, map, clean, stage", read_files),
        ("decide", "match, merge, decide", settle_day),
        ("apply", "apply with ledger and feed", lambda one: apply_day(one, None)),
    )
    for key, name, work in stages:
        with measured(name, rows), profile_of() if key == profiled else nullcontext():
            done = work(day)
    day.refresh_from_db()
    assert day.state == DayState.APPLIED, (day.state, day.problem)
    assert done.lines == rows
    return time.perf_counter() - began[0], time.process_time() - began[1]


def day_file(head: int, rows: int) -> bytes:
    """A day's file with a weight and a pregnancy result for so many of the herd, spread over all of it."""
    lines = ["EID,Tag,Date,Time,Weight (lb),Preg"]
    for place in range(rows):
        number, second = place * head // rows, place % 36_000
        clock = f"{7 + second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}"
        weight = pounds(number, 2026) + place % 15
        lines.append(f"{eid(number)},{number + 1},{WORKED_ON},{clock},{weight},{RESULTS[place % 3]}")
    return "\n".join(lines).encode()


@contextmanager
def measured(what: str, rows: int) -> Iterator[None]:
    """Print wall and CPU seconds of the block, and rows a second."""
    began = time.perf_counter(), time.process_time()
    yield
    told(what, rows, time.perf_counter() - began[0], time.process_time() - began[1])


def told(what: str, rows: int, wall: float, cpu: float) -> None:
    """One row of the table."""
    status = Path("/proc/self/status").read_text()
    peak = int(status.partition("VmHWM:")[2].split()[0]) / 1024
    rates = f"{rows / wall:10,.0f} rows/s {rows / cpu:10,.0f} rows/CPU s"
    print(f"{what:<46} {wall:7.2f} s {cpu:7.2f} CPU s {rates} {peak:6,.0f} MiB")  # noqa: T201


def forget_peak() -> None:
    """Begin anew with the most memory that this process has held (Linux)."""
    gc.collect()
    Path("/proc/self/clear_refs").write_text("5")


@contextmanager
def profile_of() -> Iterator[None]:
    """Print what the block spends its time in."""
    profile = cProfile.Profile()
    profile.enable()
    yield
    profile.disable()
    pstats.Stats(profile).sort_stats("tottime").print_stats(45)


def close() -> None:
    """Let go of the database, so that it can be dropped."""
    from django.db import connections  # noqa: PLC0415

    for one in connections.all():
        one.close()
        if one.vendor == "postgresql":
            one.close_pool()


if __name__ == "__main__":
    main()
