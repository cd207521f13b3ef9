"""A worker that is killed, and one that a file kills: on the engine and the broker that this run names."""

import time

from tests.faults.ranch import POISON, Ranch
from tests.intake.field import eid

LINES = 800
WEIGHTS = [f"{eid(number)},{900 + number % 400}" for number in range(1, LINES + 1)]
HERD = ("herd.csv", "\n".join(["EID,Weight (lb)", *WEIGHTS]).encode())
OTHER = ("poison.csv", b"EID,Weight (lb)\n" + eid(9_999).encode() + b",1180\n")


def test_a_worker_killed_while_it_reads_and_while_it_applies_loses_nothing_and_writes_nothing_twice(ranch: Ranch):
    ranch.open_day([HERD])
    ranch.start_worker()
    # Somewhere between its first import and its last line, which no two runs of a busy machine have alike.
    for pause in (2.5, 4.0):
        time.sleep(pause)
        ranch.kill_worker()
        ranch.take_over()
        ranch.start_worker()
    seen = ranch.wait_for("review")
    assert (seen["staged"], seen["animals"], seen["weighed"]) == (LINES, 0, 0)
    # The worker may not have come to its first import yet: then the order waits for it, or for the next.
    ranch.run("from tests.faults.ranch import APPLY; exec(APPLY)")
    time.sleep(0.7)
    ranch.kill_worker()
    seen = ranch.look()
    assert seen["weighed"] in (0, LINES), "half of a day is in the record"
    ranch.take_over()
    ranch.start_worker()
    seen = ranch.wait_for("applied")
    assert (seen["animals"], seen["weighed"], seen["most"], seen["changesets"]) == (LINES, LINES, 1, 1)
    ranch.run("from django.core.management import call_command; call_command('check_record')")


def test_a_file_that_ends_the_worker_is_set_aside_and_the_day_goes_on_without_it(ranch: Ranch):
    ranch.open_day([("herd.csv", b"EID,Weight (lb)\n" + eid(7).encode() + b",1180\n"), OTHER])
    ranch.start_worker(before=POISON)
    # At home one process is the worker and does its work, so it is started anew; on a server only its child ends.
    for _ in range(0 if ranch.has_broker else 3):
        assert ranch.worker.wait(60) == -6
        ranch.start_worker(before=POISON)
    seen = ranch.wait_for("review")
    assert seen["files"]["herd.csv"] == [True, 0, "", 1]
    is_read, _, problem, rows = seen["files"]["poison.csv"]
    assert (is_read, rows) == (True, 0)
    assert problem.startswith("Reading it ended the program three times")
    assert ranch.worker.poll() is None
