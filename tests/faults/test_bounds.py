"""A task that takes too much memory or time ends with a sentence on its day, and the worker goes on."""

import pytest

from tests.faults.ranch import Ranch
from tests.intake.field import eid

GOOD = ("scale.csv", b"EID,Weight (lb)\n" + eid(7).encode() + b",1180\n")
# Reading a file of this name takes what a swelling file would; the bounds are those of the worker itself.
GREEDY = """
import time
import django; django.setup()
from herd.intake.steps import read
whole = read.open_field_file
def take(content, name):
    if name == "swells.csv":
        bytearray(3 << 30)
    if name == "lasts.csv":
        time.sleep(60)
    return whole(content, name)
read.open_field_file = take
"""


def test_a_file_that_swells_ends_its_day_in_words_and_the_next_day_is_read_by_the_same_worker(ranch: Ranch):
    ranch.more["NOTCHBOOK_TASK_MEMORY"] = "2048"
    ranch.open_day([("swells.csv", GOOD[1])])
    ranch.start_worker(before=GREEDY)
    assert ranch.wait_for("failed")["problem"] == (
        "reading stopped: it needs more memory than one task may have. Send the files in smaller pieces, or in days of "
        "their own."
    )
    ranch.run("from herd.intake.models import FieldFile; FieldFile.objects.update(name='scale.csv')")
    ranch.run(
        "from herd.intake.models import ProcessingDay; from herd.intake.tasks import start_work; "
        "start_work(ProcessingDay.objects.get())"
    )
    assert ranch.wait_for("review")["staged"] == 1
    assert ranch.worker.poll() is None


def test_a_file_that_takes_for_ever_ends_its_day_in_words(ranch: Ranch):
    if not ranch.has_broker:
        pytest.skip("at home one process is the worker and does the work too, so there is nobody to end it")
    ranch.more["NOTCHBOOK_TASK_SECONDS"] = "3"
    ranch.open_day([("lasts.csv", GOOD[1])])
    ranch.start_worker(before=GREEDY)
    assert ranch.wait_for("failed")["problem"].startswith("reading stopped: it took longer than one task may take.")
    assert ranch.worker.poll() is None
