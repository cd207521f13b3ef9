"""Times the whole way of a day's file into a herd, beside plain inserts of exactly the rows written.

    .venv/bin/python -m tests.bench.intake [head]
"""

import sqlite3
import sys
import time
from datetime import date
from pathlib import Path

from tests.bench.scratch import day_file, herd_list, scratch_installation, timed

TABLES = ("registry_event", "ledger_change", "intake_stagedrow", "intake_mergedline")


def main(head: int) -> None:
    """Bring a herd in, then a day's file, and print seconds and the ratio to plain inserts."""
    with scratch_installation() as folder:
        walk(head, folder)


def walk(head: int, folder: Path) -> None:
    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.intake.days import GivenFile, open_day  # noqa: PLC0415
    from herd.intake.pipeline import apply_day  # noqa: PLC0415
    from herd.intake.steps.read import read_files  # noqa: PLC0415
    from herd.intake.steps.settle import settle_day  # noqa: PLC0415
    from herd.registry.models import Group  # noqa: PLC0415

    outfit = open_outfit(code="bench", name="Bench")
    for name, content, is_list in (("herd.csv", herd_list(head), True), ("day.csv", day_file(head), False)):
        group = Group.objects.of(outfit).first()
        worked_on = date(2026, 10, 1 if is_list else 14)
        began = time.perf_counter()
        before = counts(folder)
        given = GivenFile(name, content, is_herd_list=is_list)
        day = open_day(outfit=outfit, person=None, name=name, worked_on=worked_on, group=group, files=[given])
        with timed(f"{name}: read, map, clean, stage", head):
            read_files(day)
        with timed(f"{name}: match, merge, decide", head):
            settle_day(day)
        with timed(f"{name}: apply with ledger", head):
            applied = apply_day(day, None)
        seconds = time.perf_counter() - began
        print(f"{name}: {head} rows, upload to applied in {seconds:.2f} s; {applied.lines} lines applied")  # noqa: T201
    plain = plain_inserts(folder, before)
    print(f"plain executemany of the rows written: {plain:.2f} s; ratio {seconds / plain:.1f}")  # noqa: T201


def counts(folder: Path) -> dict[str, int]:
    with sqlite3.connect(folder / "notchbook.sqlite3") as base:
        return {table: base.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in TABLES}


def plain_inserts(folder: Path, before: dict[str, int]) -> float:
    """Insert the same rows into empty tables with the same indexes, and nothing else."""
    source = sqlite3.connect(folder / "notchbook.sqlite3")
    target = sqlite3.connect(folder / "plain.sqlite3")
    target.execute("PRAGMA journal_mode=WAL")
    target.execute("PRAGMA synchronous=FULL")
    total = 0.0
    for table in TABLES:
        for (statement,) in source.execute(
            "SELECT sql FROM sqlite_master WHERE tbl_name = ? AND sql IS NOT NULL ORDER BY type DESC", (table,)
        ):
            target.execute(statement)
        rows = source.execute(f"SELECT * FROM {table} LIMIT -1 OFFSET {before[table]}").fetchall()
        marks = ", ".join("?" * len(rows[0]))
        began = time.perf_counter()
        with target:
            target.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)
        total += time.perf_counter() - began
    return total


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
