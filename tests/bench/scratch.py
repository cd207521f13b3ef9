"""A scratch installation for benchmarks, thrown away at the end."""

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

EIDS_FROM = 840_270_000_100_000


@contextmanager
def scratch_installation() -> Iterator[Path]:
    """Set Django up on an empty SQLite file, as the embedded default has it."""
    folder = Path(tempfile.mkdtemp(prefix="notchbook-bench-"))
    os.environ["NOTCHBOOK_VAR"] = str(folder)
    os.environ.pop("NOTCHBOOK_DATABASE_URL", None)
    if os.environ.get("NOTCHBOOK_BENCH_DATABASE_URL"):
        os.environ["NOTCHBOOK_DATABASE_URL"] = os.environ["NOTCHBOOK_BENCH_DATABASE_URL"]
    os.environ["DJANGO_SETTINGS_MODULE"] = "herd.config.settings"
    try:
        import django  # noqa: PLC0415 (settings are read from the environment set above)
        from django.core.management import call_command  # noqa: PLC0415

        django.setup()
        call_command("migrate", verbosity=0)
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def timed(what: str, rows: int) -> Iterator[None]:
    """Print how long the block took, and rows a second."""
    began = time.perf_counter()
    yield
    seconds = time.perf_counter() - began
    print(f"{what:<44} {seconds:7.2f} s {rows / seconds:12,.0f} rows/s")  # noqa: T201


def herd_list(head: int) -> bytes:
    """A herd list of cows in one group."""
    lines = ["EID,Tag,Color,Class,Born,Group"]
    lines += [
        f"{EIDS_FROM + number},{number + 1},yellow,cow,{2017 + number % 6}-03-{1 + number % 28:02d},Bench"
        for number in range(head)
    ]
    return "\n".join(lines).encode()
