"""Stages a large file and prints rows a second and the peak memory of the process.

    .venv/bin/python -m tests.bench.staging [rows]
"""

import resource
import sys
from datetime import date

from tests.bench.scratch import day_file, scratch_installation, timed


def main(rows: int) -> None:
    """Read and stage a file of so many rows into an empty installation."""
    with scratch_installation():
        from herd.accounts.services import open_outfit  # noqa: PLC0415
        from herd.intake.days import GivenFile, open_day  # noqa: PLC0415
        from herd.intake.models import ProcessingDay, StagedRow  # noqa: PLC0415
        from herd.intake.steps.read import read_files  # noqa: PLC0415

        outfit = open_outfit(code="bench", name="Bench")
        given = GivenFile("day.csv", day_file(rows))
        print(f"{rows:,} rows, {len(given.content) / 1e6:.1f} MB")  # noqa: T201
        opened = open_day(
            outfit=outfit, person=None, name="large", worked_on=date(2026, 10, 14), group=None, files=[given]
        )
        del given
        day = ProcessingDay.objects.get(pk=opened.pk)
        with timed("read, map, clean, stage", rows):
            read_files(day)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"staged {StagedRow.objects.count():,} rows; peak memory {peak:.0f} MiB")  # noqa: T201


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000)
