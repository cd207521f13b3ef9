"""SQLite when the power goes and when the disk is full: what was acknowledged is there, whole, once."""

import random
import shutil
import signal
import sqlite3
import subprocess
import time
from pathlib import Path

import pytest

from tests.faults.ranch import Ranch

# Says each changeset's number once it is kept, as an answer to a person would.
WRITE = """
from herd.accounts.models import Outfit
from tests.intake.field import herd
outfit = Outfit.objects.get()
for number in range({first}, {last}):
    herd(outfit, [number])
    print(number, flush=True)
"""
FILLED = """
from django.db import OperationalError, connection
with connection.cursor() as cursor:
    pages = cursor.execute("PRAGMA page_count").fetchone()[0]
    cursor.execute(f"PRAGMA max_page_count = {{pages + 12}}")
try:
    exec({write!r})
except OperationalError as problem:
    print(problem)
"""
MOMENTS = 6


@pytest.fixture
def at_home(tmp_path: Path, upgraded: Path) -> Ranch:
    made = Ranch(tmp_path / "var", {})
    made.set_up(upgraded)
    return made


def kept(database: Path) -> list[str]:
    """The visual tags on record, after a look at the whole file and at the ledger beside the record."""
    with sqlite3.connect(database) as opened:
        assert opened.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert opened.execute("PRAGMA foreign_key_check").fetchall() == []
        positions = [row[0] for row in opened.execute("SELECT position FROM ledger_change ORDER BY position")]
        assert positions == list(range(1, len(positions) + 1))
        counter = opened.execute("SELECT position FROM ledger_feedcounter").fetchone() or (0,)
        assert counter[0] == len(positions)
        return sorted(row[0] for row in opened.execute(
            "SELECT t.number FROM registry_tagwearing w JOIN registry_tag t ON t.id = w.tag_id WHERE t.kind = 'vid'"
        ))  # fmt: skip


def test_a_copy_of_the_files_at_any_moment_has_all_that_was_acknowledged_by_then(at_home: Ranch, tmp_path: Path):
    heard = tmp_path / "heard"
    with heard.open("wb") as output:
        writer = at_home.start(WRITE.format(first=100, last=2_000), output)
        try:
            wait_for_words(heard, writer, 3)
            for moment in range(MOMENTS):
                time.sleep(random.uniform(0.05, 0.6))
                said = heard.read_text().split("\n")[:-1]
                # Stopped, so that the set of files is one moment's, as it is when the power goes.
                writer.send_signal(signal.SIGSTOP)
                copy = tmp_path / f"moment-{moment}"
                copy.mkdir()
                for part in at_home.var.glob("notchbook.sqlite3*"):
                    if not part.name.endswith("-shm"):
                        shutil.copy(part, copy)
                writer.send_signal(signal.SIGCONT)
                there = kept(copy / "notchbook.sqlite3")
                assert set(said) <= set(there)
                assert len(there) == len(set(there))
        finally:
            writer.kill()
            writer.wait()


def test_a_full_disk_refuses_what_does_not_fit_and_work_goes_on_once_there_is_room(at_home: Ranch):
    told = at_home.run(FILLED.format(write=WRITE.format(first=100, last=2_000))).split("\n")
    *said, problem = [line for line in told if line]
    assert "full" in problem
    assert said, "nothing fitted, so nothing was tried"
    assert kept(at_home.var / "notchbook.sqlite3") == sorted(said)
    more = at_home.run(WRITE.format(first=2_000, last=2_003)).split()
    assert kept(at_home.var / "notchbook.sqlite3") == sorted([*said, *more])


def wait_for_words(heard: Path, writer: subprocess.Popen[bytes], count: int) -> None:
    end = time.monotonic() + 60
    while len(heard.read_text().split()) < count:
        assert writer.poll() is None
        assert time.monotonic() < end
        time.sleep(0.05)
