"""Reads, cleans and matches a large file against a herd, beside the plain read and join of general libraries.

    .venv/bin/python -m tests.bench.bigread --rows 100000 --head 100000 [--peers PYTHON]

PYTHON is an interpreter that has polars and pandas. They read the file as text and join it with the herd's numbers
by EID, no more: no cell is judged, nothing is kept. Each runs in a process of its own, so that peaks are its own.
"""

import argparse
import subprocess
from pathlib import Path

from tests.bench.bigday import WORKED_ON, day_file, fill, forget_peak, measured, told
from tests.bench.filling import eid
from tests.bench.scratch import scratch_installation

POLARS = """
import polars
rows = polars.read_csv(day, infer_schema=False)
found = rows.join(polars.read_csv(herd, infer_schema=False), on="EID", how="left").height
"""
PANDAS = """
import pandas
rows = pandas.read_csv(day, dtype=str)
found = len(rows.merge(pandas.read_csv(herd, dtype=str), on="EID", how="left"))
"""
AROUND = """
import sys, time
day, herd = sys.argv[1:]
began = time.perf_counter(), time.process_time()
{work}
peak = next(int(line.split()[1]) for line in open("/proc/self/status") if line.startswith("VmHWM")) / 1024
print(found, time.perf_counter() - began[0], time.process_time() - began[1], peak)
"""


def main() -> None:
    """Fill a herd, read a file against it, then let the peers read and join."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--rows", type=int, default=100_000)
    asked.add_argument("--head", type=int, default=100_000)
    asked.add_argument("--peers", default="")
    given = asked.parse_args()
    with scratch_installation() as folder:
        read_and_match(given.head, given.rows)
        day, herd = folder / "day.csv", folder / "herd.csv"
        day.write_bytes(day_file(given.head, given.rows))
        herd.write_text("EID,Animal\n" + "\n".join(f"{eid(number)},{number}" for number in range(given.head)))
        for name, work in (("polars", POLARS), ("pandas", PANDAS)) if given.peers else ():
            peer(name, work, given.rows, [given.peers, day, herd])


def read_and_match(head: int, rows: int) -> None:
    """Our own way: stage every line with what was read in it, load the record, say whose each line is."""
    from herd.accounts.services import open_outfit  # noqa: PLC0415
    from herd.intake.days import GivenFile, open_day  # noqa: PLC0415
    from herd.intake.deciding.doubts import Answers  # noqa: PLC0415
    from herd.intake.deciding.who import settle_whose  # noqa: PLC0415
    from herd.intake.models import ProcessingDay  # noqa: PLC0415
    from herd.intake.queries.view import load_view  # noqa: PLC0415
    from herd.intake.steps.read import read_files  # noqa: PLC0415
    from herd.intake.steps.settle import load_rows  # noqa: PLC0415
    from herd.ledger.rows import undisturbed  # noqa: PLC0415

    outfit = open_outfit(code="bench", name="Bench")
    fill(outfit, head)
    given = [GivenFile("day.csv", day_file(head, rows))]
    opened = open_day(outfit=outfit, person=None, name="big", worked_on=WORKED_ON, group=None, files=given)
    given.clear()
    day = ProcessingDay.objects.get(pk=opened.pk)
    forget_peak()
    with measured("read, map, clean, stage", rows):
        read_files(day)
    with measured("load rows and record, match", rows), undisturbed():
        staged = load_rows(day)
        view = load_view(day, staged)
        whose = settle_whose(staged, view, Answers(), WORKED_ON)
    assert all(one.animal_id for one in whose)


def peer(name: str, work: str, rows: int, command: list[str | Path]) -> None:
    """Run one peer and print its line, with the peak of its own process."""
    interpreter, *files = command
    script = AROUND.format(work=work.strip())
    answer = subprocess.run([interpreter, "-c", script, *files], check=True, capture_output=True, text=True)
    found, wall, cpu, peak = map(float, answer.stdout.split())
    assert found == rows
    told(f"{name}, read and join ({peak:,.0f} MiB itself)", rows, wall, cpu)


if __name__ == "__main__":
    main()
