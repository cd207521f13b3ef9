"""An installation in a folder of its own, with a worker process that can be killed, asked from outside only."""

import json
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any
from uuid import uuid4

import psycopg

from tests.config.installation import ROOT, environment

LONGEST = 120.0
SET_UP = """
from django.conf import settings
from django.core.management import call_command
from herd.accounts.services import open_outfit
from herd.values.mass import WeightUnit
call_command("migrate", interactive=False, verbosity=0)
for name in ("waiting", "done", "control"):
    (settings.BROKER_DIR / name).mkdir(parents=True, exist_ok=True)
open_outfit(code="bench", name="Kettle Bench", time_zone="America/Denver", weight_unit=WeightUnit.LB)
"""
OPEN_DAY = """
from datetime import date
from herd.accounts.models import Outfit
from herd.intake.days import GivenFile, open_day
from herd.intake.tasks import start_work
day = open_day(outfit=Outfit.objects.get(), person=None, name="Work", worked_on=date(2026, 3, 14), group=None,
               files=[GivenFile(name, content, True) for name, content in {files!r}])
start_work(day)
"""
APPLY = """
from herd.intake.models import ProcessingDay
from herd.intake.tasks import start_apply
start_apply(ProcessingDay.objects.get(), None)
"""
LEAVE = """
from herd.config.celery import app
with app.connection_for_write() as broker:
    broker.default_channel.queue_delete({queue!r})
    broker.default_channel.exchange_delete({queue!r})
"""
TAKE_OVER = "from herd.intake.tasks import take_over; take_over()"
LOOK = """
from collections import Counter
from herd.intake.models import FieldFile, ProcessingDay, StagedRow
from herd.registry.models import Animal, Event
from herd.ledger.models import Changeset
day = ProcessingDay.objects.get()
weighed = Counter(Event.objects.filter(kind="weight", is_void=False).values_list("animal_id", flat=True))
import json
print(json.dumps({
    "state": day.state, "problem": day.problem, "tries": day.tries,
    "staged": StagedRow.objects.count(), "animals": Animal.objects.filter(is_void=False).count(),
    "weighed": len(weighed), "most": max(weighed.values(), default=0), "changesets": Changeset.objects.count(),
    "files": {file.name: [file.is_read, file.tries, file.problem, file.row_count] for file in FieldFile.objects.all()},
}))
"""
# Reading this one file ends the process as a fault in a native library would, without a word.
POISON = """
import os
import django; django.setup()
from herd.intake.steps import read
whole = read.open_field_file
def crash(content, name):
    return os.abort() if name == "poison.csv" else whole(content, name)
read.open_field_file = crash
"""


AS_AT_HOME = "\nfrom herd.config.worker import main\nmain()"
AS_ON_A_SERVER = """
from herd.config.celery import app
app.worker_main(["--quiet", "worker", "--concurrency", "1", "--without-gossip", "--without-mingle",
                 "--loglevel", "WARNING"])
"""


@dataclass
class Ranch:
    """One installation; `more` names its database and broker."""

    var: Path
    more: dict[str, str]
    worker: subprocess.Popen[bytes] | None = None
    _log: Any = field(default=None, repr=False)

    @property
    def has_broker(self) -> bool:
        """Whether this run names one; then workers have processes of their own for their tasks."""
        return "NOTCHBOOK_BROKER_URL" in self.more

    def set_up(self, upgraded: Path) -> None:
        """Make the database and the outfit, and name a queue that nobody else uses."""
        shutil.copytree(upgraded, self.var, dirs_exist_ok=True)
        self.more["NOTCHBOOK_QUEUE"] = f"ranch-{uuid4().hex[:8]}"
        self.run(SET_UP)

    def tear_down(self) -> None:
        """End the worker and take the queue away."""
        self.kill_worker()
        if self.has_broker:
            self.run(LEAVE.format(queue=self.more["NOTCHBOOK_QUEUE"]))

    def run(self, code: str) -> str:
        """Run code in a process of its own and return what it prints; raises AssertionError where it fails."""
        told = subprocess.run(
            [sys.executable, "-c", f"import django; django.setup()\n{code}"], cwd=ROOT, env=self._environment(),
            capture_output=True, text=True, check=False, timeout=LONGEST,
        )  # fmt: skip
        assert told.returncode == 0, told.stderr[-2_000:]
        return told.stdout

    def start(self, code: str, output: IO[bytes]) -> subprocess.Popen[bytes]:
        """Run code in a process of its own, what it prints going to the file."""
        return subprocess.Popen(
            [sys.executable, "-c", f"import django; django.setup()\n{code}"], cwd=ROOT, env=self._environment(),
            stdout=output,
        )  # fmt: skip

    def look(self) -> dict[str, Any]:
        """What stands in the database now."""
        return json.loads(self.run(LOOK).splitlines()[-1])

    def open_day(self, files: list[tuple[str, bytes]]) -> None:
        """Open a day with these files and send it to the worker."""
        self.run(OPEN_DAY.format(files=files))

    def start_worker(self, before: str = "") -> None:
        """Start a worker as it runs with this broker; `before` is run in its process first."""
        self._log = (self.var / "worker.log").open("ab")
        self.worker = subprocess.Popen(
            [sys.executable, "-c", before + (AS_ON_A_SERVER if self.has_broker else AS_AT_HOME)], cwd=ROOT,
            env=self._environment(), stdin=subprocess.PIPE, stdout=self._log, stderr=self._log,
        )  # fmt: skip

    def kill_worker(self) -> None:
        """End the worker as kill -9 does."""
        if self.worker:
            self.worker.kill()
            self.worker.wait()
            self.worker = None
            self._log.close()

    def take_over(self) -> None:
        """Over a broker that serves several workers a dead one's work waits for its lease; this ends the wait."""
        if self.has_broker:
            self.run(TAKE_OVER)

    def wait_for(self, *states: str) -> dict[str, Any]:
        """Return what stands in the database once the day is in one of the states."""
        end = time.monotonic() + LONGEST
        while self.state() not in states:
            assert time.monotonic() < end, f"never {states}: {self.look()} {self.said()}"
            time.sleep(0.2)
        return self.look()

    def state(self) -> str:
        """The day's state, asked of the database itself: a process with all of Django for each look costs a second."""
        ask = "SELECT state FROM intake_processingday"
        if url := self.more.get("NOTCHBOOK_DATABASE_URL"):
            with psycopg.connect(url) as server:
                row = server.execute(ask).fetchone()
        else:
            with closing(sqlite3.connect(self.var / "notchbook.sqlite3", timeout=20)) as file:
                row = file.execute(ask).fetchone()
        assert row, "there is no day"
        return str(row[0])

    def said(self) -> str:
        """The last words of the worker's log."""
        return (self.var / "worker.log").read_text()[-1_500:]

    def _environment(self) -> dict[str, str]:
        return {**environment(self.var, **self.more), "DJANGO_SETTINGS_MODULE": "herd.config.settings"}
