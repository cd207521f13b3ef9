"""A lock on a file lets one process in at a time, and lets go when its holder dies."""

import subprocess
import sys

from herd.config.locks import file_lock
from tests.config.installation import ROOT

HOLD = (
    "import sys, time; from pathlib import Path; from herd.config.locks import file_lock\n"
    "with file_lock(Path(sys.argv[1])):\n"
    "    print('held', flush=True); time.sleep(60)\n"
)


def test_the_lock_of_a_killed_process_is_free_again(tmp_path):
    path = tmp_path / "folder" / "lock"
    holder = subprocess.Popen([sys.executable, "-c", HOLD, str(path)], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert holder.stdout.readline() == "held\n"
    # Called only if the lock is really held by the other process, and ends that one.
    waits = []
    with file_lock(path, when_waiting=lambda: waits.append(holder.kill())):
        assert len(waits) == 1
    assert holder.wait(10) != 0


def test_a_free_lock_is_taken_without_waiting_and_again_afterwards(tmp_path):
    waits = []
    for _ in range(2):
        with file_lock(tmp_path / "lock", when_waiting=lambda: waits.append(1)):
            pass
    assert waits == []
