"""What can't be stored is never answered with a beep, and the file says so in a sentence."""

import sqlite3

import pytest

from herd.bridge.keeping import Keeping, NotKept
from herd.bridge.live import Live
from herd.bridge.ports import Came
from herd.bridge.program import Bridge
from herd.client.faults import Busy
from herd.client.store import alone
from tests.bridge.saying import FIRST, SECOND, settings
from tests.bridge.test_flow import Chute


def fill_disk(keeping):
    """A disk without room, as SQLite itself tells it (SQLITE_FULL)."""
    pages = keeping.run("PRAGMA page_count").fetchone()[0]
    keeping.run(f"PRAGMA max_page_count={pages}")


def test_on_a_full_disk_nothing_is_beeped_and_later_all_goes_on(tmp_path):
    chute = Chute(tmp_path)

    def work_on():
        for place in range(200):
            chute.weigh(450, f"84027000000{place:04}")

    fill_disk(chute.keeping)
    with pytest.raises(NotKept, match="bridge.db can't be used .*full.*What it held before is still in it"):
        work_on()
    stored = len(chute.pairs())
    assert len(chute.beeps) <= stored
    chute.keeping.run("PRAGMA max_page_count=1073741823")
    chute.begin()
    chute.weigh(431, FIRST)
    assert chute.pairs()[-1] == (FIRST, "431 kg")


class Quiet:
    """A console that nobody sits at."""

    def __init__(self):
        self.rung = 0

    def say(self, sentence):
        pass

    def ring(self):
        self.rung += 1

    def draw(self, live: Live, keeping: Keeping):
        pass


def test_the_program_outlives_a_full_disk(tmp_path):
    console = Quiet()
    bridge, keeping = Bridge(settings(tmp_path), console), Keeping(tmp_path / "bridge.db")
    fill_disk(keeping)
    for place in range(300):
        bridge._take(Came("reader", float(place), f"84027000000{place:04}\n".encode()), keeping)
    assert "can't be used" in bridge._live.now().trouble
    keeping.run("PRAGMA max_page_count=1073741823")
    bridge._take(Came("reader", 1000.0, SECOND.encode() + b"\n"), keeping)
    for place in range(8):
        bridge._take(Came("scale", 1000 + place / 4, b" 450 kg\n"), keeping)
    assert console.rung == 1


def test_a_file_of_something_else_is_not_touched(tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("not a database, and dear to somebody" * 50)
    with pytest.raises(NotKept, match="notes.txt can't be used"):
        Keeping(path)
    assert path.read_text().startswith("not a database")


def test_a_file_of_a_newer_version_is_not_touched(tmp_path):
    Keeping(tmp_path / "bridge.db").close()
    with sqlite3.connect(tmp_path / "bridge.db") as database:
        database.execute("PRAGMA user_version=99")
    with pytest.raises(NotKept, match="newer version"):
        Keeping(tmp_path / "bridge.db")


def test_a_second_bridge_is_kept_out(tmp_path):
    with alone(tmp_path / "bridge.db"), pytest.raises(Busy, match="at work on bridge.db"):
        Bridge(settings(tmp_path, page=0), Quiet()).run()
