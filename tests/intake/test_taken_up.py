"""A day whose worker died is taken up again: no line twice, none lost, nothing half written."""

from datetime import timedelta

import pytest
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.intake.models import DayState, ProcessingDay, StagedRow
from herd.intake.pipeline import run
from herd.intake.steps import read
from herd.intake.tasks import resume_unfinished, take_over
from herd.registry.models import Event
from tests.intake.field import csv_file, eid, herd, work

PAST, AHEAD = timedelta(minutes=-1), timedelta(minutes=5)


def left_at_work(outfit: Outfit, state: DayState, lease: timedelta) -> ProcessingDay:
    """A day as a worker leaves it that dies at work."""
    herd(outfit, [101, 102])
    day = work(outfit, [csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(1111)},1180", f"{eid(1122)},1205"])])
    ProcessingDay.objects.filter(pk=day.pk).update(state=state, lease_until=timezone.now() + lease)
    return ProcessingDay.objects.get(pk=day.pk)


def test_a_day_whose_lease_has_run_out_is_taken_up(kettle_bench: Outfit) -> None:
    day = left_at_work(kettle_bench, DayState.WORKING, PAST)
    resume_unfinished()
    day.refresh_from_db()
    assert (day.state, StagedRow.objects.filter(day=day).count()) == (DayState.REVIEW, 2)


def test_a_day_that_a_worker_is_at_is_left_alone(kettle_bench: Outfit) -> None:
    day = left_at_work(kettle_bench, DayState.WORKING, AHEAD)
    resume_unfinished()
    day.refresh_from_db()
    assert day.state == DayState.WORKING


def test_the_only_worker_takes_over_at_once(kettle_bench: Outfit) -> None:
    day = left_at_work(kettle_bench, DayState.WORKING, AHEAD)
    take_over()
    day.refresh_from_db()
    assert day.state == DayState.REVIEW


def test_an_apply_cut_short_has_written_nothing_and_can_be_given_again(kettle_bench: Outfit) -> None:
    day = left_at_work(kettle_bench, DayState.APPLYING, PAST)
    resume_unfinished()
    day.refresh_from_db()
    assert day.state == DayState.REVIEW
    assert "Apply again" in day.problem
    assert not Event.objects.of(kettle_bench).exists()


def test_a_crash_in_the_middle_of_a_file_leaves_no_line_twice(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    herd(kettle_bench, [101])
    lines = ["EID,Weight (lb)", *(f"{eid(5000 + number)},1{number:03d}" for number in range(40))]
    day = work(kettle_bench, [csv_file("other.csv", ["EID", eid(1111)])])
    day.files.update(is_read=False)
    whole, calls = read.insert_rows, []

    def dies_at_the_second(rows):
        calls.append(1)
        if len(calls) == 2:
            raise OSError("power cut")
        return whole(rows)

    monkeypatch.setattr(read, "STEP", 10)
    monkeypatch.setattr(read, "insert_rows", dies_at_the_second)
    big = csv_file("scale.csv", lines)
    file = day.files.get()
    file.content, file.name = big.content, big.name
    file.save()
    with pytest.raises(OSError, match="power cut"):
        run(day)
    day.refresh_from_db()
    assert (day.state, "power cut" in day.problem) == (DayState.FAILED, True)
    monkeypatch.setattr(read, "insert_rows", whole)
    run(day)
    numbers = list(StagedRow.objects.filter(day=day).order_by("number").values_list("number", flat=True))
    assert numbers == list(range(40))
