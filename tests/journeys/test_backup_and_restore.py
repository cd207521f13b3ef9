"""Backup and restore in processes of their own: killed in the middle, beside a writer, from engine to engine."""

import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core.management import call_command

from herd.accounts.models import Outfit
from herd.archive.backups import write_archive
from herd.archive.restoring import restore
from herd.archive.unpacking import open_archive
from herd.registry.models import Animal
from tests.archive.conftest import work_a_while
from tests.config.installation import ROOT, environment
from tests.intake.field import record

HEAD = 60
LIST = "EID,VID,Tag colour,Class,Group\n" + "".join(
    f"840270{number * 17:09d},{number},yellow,cow,Upper Bench\n" for number in range(1, HEAD + 1)
)
COUNTS = (
    "select (select count(*) from accounts_outfit), (select count(*) from accounts_person), "
    "(select count(*) from registry_animal), (select count(*) from ledger_change)"
)
# Registers animals and moves them between two groups until it is ended; each write is a changeset of its own.
WRITER = """
import sys, django
django.setup()
from datetime import date
from herd.accounts.models import Outfit
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.registry.services import animals, groups
entry = Entry(Outfit.objects.get(), None, ChangesetKind.OFFICE, "chute")
pens = [groups.open_group(entry=entry, name=name) for name in ("Pen 1", "Pen 2")]
number = 5000
while True:
    number += 1
    tags = [{"kind": "vid", "number": str(number), "colour": "blue", "issuer_year": 0}]
    one = animals.register(
        entry=entry, facts={"entry_class": "heifer"}, tags=tags, group_id=pens[0], on=date(2025, 5, 1)
    )
    groups.move(entry=entry, animal_ids=[one], group_id=pens[1], on=date(2025, 6, 1))
    print(number, flush=True)
"""

# Stands for the disk: from here on the system refuses to let any file of the process grow beyond 4,000 bytes.
FULL_DISK = """
import resource, sys, django
django.setup()
from django.core.management import CommandError, call_command
from herd.accounts.models import Outfit
assert Outfit.objects.exists()
resource.setrlimit(resource.RLIMIT_FSIZE, (4_000, 4_000))
try:
    call_command("backup", "--to", sys.argv[1])
except CommandError as refused:
    sys.exit(str(refused))
"""


@dataclass(frozen=True, slots=True)
class Installation:
    """An installation of its own on SQLite: its folder, and the commands in it."""

    var: Path

    @property
    def environment(self) -> dict[str, str]:
        """Nothing of the shell's installation but the path of this one."""
        return environment(self.var, DJANGO_SETTINGS_MODULE="herd.config.settings")

    def begin(self, *arguments: str) -> subprocess.Popen[str]:
        """Start a command and return while it runs."""
        return subprocess.Popen(
            [sys.executable, "manage.py", *arguments], cwd=ROOT, env=self.environment,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip

    def manage(self, *arguments: str) -> str:
        """Run a command to its good end and return what it said."""
        process = self.begin(*arguments)
        said, _ = process.communicate(timeout=120)
        assert process.returncode == 0, said
        return said

    def counts(self) -> list[int]:
        """Outfits, people, animals and changes in the database; nothing of the program is used to count."""
        code = f"import sqlite3, json; print(json.dumps(sqlite3.connect(sys.argv[1]).execute({COUNTS!r}).fetchone()))"
        asked = [sys.executable, "-c", f"import sys; {code}", str(self.var / "notchbook.sqlite3")]
        return json.loads(subprocess.run(asked, capture_output=True, text=True, check=True).stdout)

    def record(self, code: str = "kettle-bench") -> str:
        """The record as it is printed."""
        return self.manage("export", "--outfit", code)


def installation(folder: Path, upgraded: Path) -> Installation:
    """An empty installation with its tables."""
    folder.mkdir()
    shutil.copy(upgraded / "notchbook.sqlite3", folder)
    return Installation(folder)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory, upgraded: Path) -> Installation:
    """Kettle Bench with a herd list applied."""
    folder = tmp_path_factory.mktemp("bench")
    made = installation(folder / "var", upgraded)
    made.manage("outfit", "kettle-bench", "--name", "Kettle Bench")
    (folder / "herd.csv").write_text(LIST)
    made.manage(
        "intake", str(folder / "herd.csv"), "--outfit", "kettle-bench", "--herd-list", "--day", "2025-09-01",
        "--apply-clear",
    )  # fmt: skip
    return made


@pytest.fixture(scope="module")
def backup(bench: Installation, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A finished backup of it."""
    folder = tmp_path_factory.mktemp("backup")
    bench.manage("backup", "--to", str(folder))
    return next(folder.glob("*.zip"))


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory, upgraded: Path) -> Installation:
    """An installation without an outfit, to be copied."""
    return installation(tmp_path_factory.mktemp("empty") / "var", upgraded)


@pytest.fixture
def fresh(empty: Installation, tmp_path: Path) -> Installation:
    """An empty installation of this test's own."""
    shutil.copytree(empty.var, tmp_path / "fresh")
    return Installation(tmp_path / "fresh")


def killed_after(process: subprocess.Popen[str], line: int) -> bool:
    """Kill a command once it has said so many lines; whether it was still at work then."""
    assert process.stdout
    for _ in range(line):
        if not process.stdout.readline():
            break
    process.send_signal(signal.SIGKILL)
    ended = process.wait(60) == -signal.SIGKILL
    process.stdout.close()
    return ended


def test_a_whole_installation_comes_back_the_same(bench: Installation, backup: Path, fresh: Installation) -> None:
    said = fresh.manage("restore", str(backup))
    assert "Kettle Bench (kettle-bench) is back as of" in said
    assert f"Kettle Bench: {HEAD} animals checked, 0 differ." in said
    assert fresh.record() == bench.record()
    assert fresh.counts() == bench.counts()


def test_a_machine_without_even_tables_gets_them_first(backup: Path, tmp_path: Path) -> None:
    bare = Installation(tmp_path / "bare")
    assert "Making the tables of a new installation" in bare.manage("restore", str(backup))
    assert bare.counts()[2] == HEAD


def test_a_backup_killed_at_any_moment_leaves_no_half_file_and_old_ones(
    bench: Installation, backup: Path, tmp_path: Path
) -> None:
    old = tmp_path / "notchbook-2026-01-01T000000Z.zip"
    shutil.copy(backup, old)
    at_work = 0
    for line in (0, 1, 9, 20, 26, 29):
        at_work += killed_after(bench.begin("backup", "--to", str(tmp_path), "--keep", "1"), line)
        finished = list(tmp_path.glob("notchbook-*.zip"))
        for path in finished:
            with open_archive(path) as archive:
                archive.verify()
        assert old in finished or len(finished) == 1
    assert at_work >= 4
    assert "Verified: " in bench.manage("backup", "--to", str(tmp_path), "--keep", "1")
    (last,) = tmp_path.glob("notchbook-*.zip")
    bench.manage("backup", "--verify", str(last))


def test_a_restore_killed_at_any_moment_leaves_the_database_as_it_was_and_can_be_run_again(
    bench: Installation, backup: Path, fresh: Installation
) -> None:
    at_work = 0
    for line in (0, 1, 8, 15, 20, 28):
        at_work += killed_after(fresh.begin("restore", str(backup)), line)
        if fresh.counts() != [0, 0, 0, 0]:
            # Killed after the last line was written down but before it was said: all of it is there.
            break
    assert at_work >= 4
    if fresh.counts() == [0, 0, 0, 0]:
        fresh.manage("restore", str(backup))
    assert fresh.counts() == bench.counts()


def test_a_restore_that_is_refused_says_why_and_changes_nothing(
    bench: Installation, backup: Path, fresh: Installation, tmp_path: Path
) -> None:
    half = tmp_path / "half.zip"
    half.write_bytes(backup.read_bytes()[:-1000])
    before = bench.counts()
    for place, path, says in (
        (fresh, half, "its end is cut off. Nothing was changed."),
        (fresh, tmp_path / "gone.zip", "gone.zip can't be opened: No such file or directory."),
        (bench, backup, "comes back only into an empty installation"),
    ):
        process = place.begin("restore", str(path))
        said, _ = process.communicate(timeout=60)
        assert process.returncode == 1
        assert says in said
        assert "Traceback" not in said
    assert fresh.counts() == [0, 0, 0, 0]
    assert bench.counts() == before


@pytest.fixture
def busy(bench: Installation, tmp_path: Path) -> Iterator[Installation]:
    """A copy of the installation with someone at work in it for as long as the test lasts."""
    shutil.copytree(bench.var, tmp_path / "busy")
    made = Installation(tmp_path / "busy")
    process = subprocess.Popen(
        [sys.executable, "-c", WRITER], cwd=ROOT, env=made.environment, stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout
        assert process.stdout.readline()
        yield made
        assert process.poll() is None
    finally:
        process.kill()
        process.wait()


def test_a_backup_beside_a_writer_is_of_one_moment(
    busy: Installation, backup: Path, empty: Installation, tmp_path: Path
) -> None:
    for _ in range(2):
        busy.manage("backup", "--to", str(tmp_path / "kept"))
    positions = []
    for number, path in enumerate(sorted((tmp_path / "kept").glob("*.zip"))):
        shutil.copytree(empty.var, tmp_path / f"copy {number}")
        copy = Installation(tmp_path / f"copy {number}")
        said = copy.manage("restore", str(path))
        assert " 0 differ." in said
        positions.append(check_one_moment(copy))
    # The writer was at work, between backups and during them.
    assert len(positions) == 2
    assert positions == sorted(set(positions))
    assert positions[0] > bench_head(backup)


def bench_head(backup: Path) -> int:
    """The last feed position that a backup holds."""
    with open_archive(backup) as archive:
        return archive.contents.outfits[0].feed_position


def check_one_moment(copy: Installation) -> int:
    """See that the record, the ledger and the feed agree with each other; return the feed's position."""
    ask = (
        "import sqlite3, json, sys; of = sqlite3.connect(sys.argv[1]).execute; print(json.dumps("
        "[of(f'select {one}').fetchone()[0] for one in sys.argv[2:]]))"
    )
    questions = [
        "position from ledger_feedcounter",
        "max(position) from ledger_change",
        "count(*) from ledger_change",
        "sum(change_count) from ledger_changeset",
        "count(*) from registry_animal",
        "count(*) from registry_tagwearing where ended = '' and kind = 'vid'",
        "count(*) from registry_groupmembership where left_on is null",
        "count(*) from ledger_change where subject_kind = 'animal' and action = 'created'",
    ]
    command = [sys.executable, "-c", ask, str(copy.var / "notchbook.sqlite3"), *questions]
    found = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    head, last, changes, counted, animals, worn, stays, created = found
    assert head == last == changes == counted
    assert animals == worn == stays == created
    assert animals > HEAD
    return head


@pytest.mark.skipif(sys.platform == "win32", reason="there is no limit on a file's size to set")
def test_a_disk_that_fills_up_is_told_and_the_half_file_removed(bench: Installation, tmp_path: Path) -> None:
    process = subprocess.run(
        [sys.executable, "-c", FULL_DISK, str(tmp_path)], cwd=ROOT, env=bench.environment, capture_output=True,
        text=True, check=False,
    )  # fmt: skip
    assert process.returncode == 1
    assert process.stderr.startswith(f"There is no room left in {tmp_path}: the file was given up and removed.")
    assert os.listdir(tmp_path) == []


@pytest.mark.django_db(transaction=True)
def test_an_outfit_moves_from_this_database_to_another_machine_on_sqlite(
    fresh: Installation, tmp_path: Path
) -> None:
    """On PostgreSQL this goes from one engine to the other."""
    outfit = Outfit.objects.create(code="kettle-bench", name="Kettle Bench")
    work_a_while(outfit)
    write_archive(tmp_path / "kettle.zip", outfit, with_passwords=False)
    said = fresh.manage("restore", str(tmp_path / "kettle.zip"))
    assert "ada of kettle-bench has no password yet" in said
    theirs = [json.loads(line) for line in fresh.record().splitlines()]
    assert theirs == json.loads(record(outfit))


@pytest.mark.django_db
def test_an_outfit_moves_from_sqlite_into_this_database(bench: Installation, backup: Path) -> None:
    """On PostgreSQL this goes from one engine to the other."""
    with open_archive(backup) as archive:
        restore(archive)
    outfit = Outfit.objects.get()
    call_command("check_record")
    assert Animal.objects.of(outfit).count() == HEAD
    ours = json.loads(record(outfit))[1:]
    theirs = {one["id"]: one for one in map(json.loads, bench.record().splitlines()[1:])}
    assert len(theirs) == len(ours)
    assert all(theirs[one["id"]] == one for one in ours)
