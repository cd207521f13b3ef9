"""Work that was cut short: resumed without a line twice, taken up from a worker that died."""

from datetime import timedelta

import pytest
from django.utils import timezone

from herd.accounts.models import Outfit, Role
from herd.intake.columns.reading import RowReader
from herd.intake.days import open_day
from herd.intake.models import DayState, FieldFile, ProcessingDay, StagedRow
from herd.intake.pipeline import EndsTheWorker, apply_day, run
from herd.intake.steps import read
from herd.intake.steps.apply import Applied
from herd.intake.tasks import resume_unfinished, start_apply, start_work, take_over
from herd.ledger.models import Changeset
from tests.cast import join_outfit
from tests.intake.field import WORKED_ON, check_counts, csv_file, eid, group, herd, record, states, weights, work

LINES = ["EID,Weight (lb)", *(f"{eid(vid * 11)},1180" for vid in (417, 530, 688, 701, 824))]
FILES = [csv_file("scale.csv", LINES), csv_file("phone.csv", ["VID,Preg", "417,open"])]


def opened(outfit: Outfit) -> ProcessingDay:
    return open_day(
        outfit=outfit, person=None, name="Work", worked_on=WORKED_ON, group=group(outfit), files=FILES
    )


def break_after(monkeypatch: pytest.MonkeyPatch, rows: int) -> None:
    """Have the reader stop in the middle of staging, after some rows are in the database."""
    monkeypatch.setattr(read, "STEP", 2)
    count = iter(range(1_000))
    whole = RowReader.read

    def broken(self: RowReader, cells: list[str]) -> object:
        if next(count) >= rows:
            raise OSError("the disk is full")
        return whole(self, cells)

    monkeypatch.setattr(RowReader, "read", broken)


@pytest.mark.parametrize("rows", [0, 1, 3, 5])
def test_reading_that_was_cut_short_resumes_without_a_line_twice(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch, rows: int
) -> None:
    herd(kettle_bench, [417, 530, 688, 701, 824])
    day = opened(kettle_bench)
    with monkeypatch.context() as broken:
        break_after(broken, rows)
        with pytest.raises(OSError, match="the disk is full"):
            run(day)
    day.refresh_from_db()
    assert day.state == DayState.FAILED
    assert day.problem == "reading stopped: the disk is full"
    run(day)
    assert StagedRow.objects.filter(day=day).count() == 6
    assert states(day) == ["waiting"] * 6
    check_counts(day)


def test_a_run_of_a_day_that_is_read_reads_nothing_again(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = opened(kettle_bench)
    run(day)
    before = set(StagedRow.objects.values_list("pk", flat=True))
    run(day)
    assert set(StagedRow.objects.values_list("pk", flat=True)) == before


def test_a_day_whose_worker_died_is_taken_up_once_its_lease_has_run_out(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = opened(kettle_bench)
    ProcessingDay.objects.update(state=DayState.WORKING, lease_until=timezone.now() + timedelta(minutes=5))
    resume_unfinished()
    day.refresh_from_db()
    assert day.state == DayState.WORKING
    assert not StagedRow.objects.exists()
    ProcessingDay.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
    resume_unfinished()
    day.refresh_from_db()
    assert (day.state, day.lease_until) == (DayState.REVIEW, None)
    assert StagedRow.objects.filter(day=day).count() == 6


def test_the_only_worker_takes_over_at_once_what_the_last_one_left(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = opened(kettle_bench)
    ProcessingDay.objects.update(state=DayState.WORKING, lease_until=timezone.now() + timedelta(minutes=5))
    take_over()
    day.refresh_from_db()
    assert day.state == DayState.REVIEW


def test_an_apply_whose_worker_died_is_taken_up_and_written_once(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    ada = join_outfit(kettle_bench, "ada", Role.OFFICE)
    day = work(kettle_bench, FILES)
    late = timezone.now() - timedelta(seconds=1)
    ProcessingDay.objects.update(state=DayState.APPLYING, lease_until=late, asked_by=ada)
    resume_unfinished()
    resume_unfinished()
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    [written] = Changeset.objects.filter(day_id=day.pk)
    assert written.person == ada
    day.refresh_from_db()
    assert (day.asked_by, day.tries) == (None, 0)


def test_an_apply_that_has_ended_the_worker_three_times_goes_back_to_review_with_a_sentence(
    kettle_bench: Outfit,
) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, FILES)
    before = record(kettle_bench)
    late = timezone.now() - timedelta(seconds=1)
    ProcessingDay.objects.update(state=DayState.APPLYING, lease_until=late, tries=3)
    with pytest.raises(EndsTheWorker):
        resume_unfinished()
    day.refresh_from_db()
    assert (day.state, day.tries) == (DayState.REVIEW, 0)
    assert day.problem.startswith("Nothing was applied: the program was ended 3 times while it applied this day")
    assert record(kettle_bench) == before


def test_an_order_to_apply_that_comes_when_another_worker_has_just_applied_writes_nothing(
    kettle_bench: Outfit,
) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, FILES)
    before = record(kettle_bench)
    ProcessingDay.objects.update(state=DayState.APPLYING)
    day.refresh_from_db()
    ProcessingDay.objects.update(state=DayState.REVIEW)
    assert apply_day(day, None) == Applied(None, 0, 0)
    assert record(kettle_bench) == before


def test_work_that_was_started_ends_in_review_and_then_in_the_record(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688, 701, 824])
    day = opened(kettle_bench)
    start_work(day)
    day.refresh_from_db()
    assert day.state == DayState.REVIEW
    start_apply(day, None)
    day.refresh_from_db()
    assert (day.state, day.problem) == (DayState.APPLIED, "")
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_one_file_that_cannot_be_read_stops_no_other(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = work(kettle_bench, [csv_file("empty.csv", ["", ""]), *FILES])
    problem = FieldFile.objects.get(day=day, name="empty.csv").problem
    assert problem.endswith(".")
    assert FieldFile.objects.filter(day=day, problem="").count() == 2
