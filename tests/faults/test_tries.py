"""Starts without an end are counted before the work begins; ends of any kind begin the count anew."""

import pytest

from herd.accounts.models import Outfit
from herd.intake import pipeline
from herd.intake.columns.reading import RowReader
from herd.intake.models import DayState, FieldFile, ProcessingDay
from herd.intake.pipeline import EndsTheWorker, run
from herd.intake.reading import open_field_file
from herd.intake.steps import read
from herd.intake.tasks import start_apply
from tests.intake.field import herd
from tests.intake.test_resume import opened


class Killed(BaseException):
    """The process is gone; no handler for an Exception runs."""


def dies(*arguments: object) -> None:
    raise Killed


def test_a_file_over_which_the_worker_dies_three_times_is_set_aside(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    herd(kettle_bench, [417])
    day = opened(kettle_bench)
    with monkeypatch.context() as deadly:
        deadly.setattr(RowReader, "read", dies)
        for tries in (1, 2, 3):
            with pytest.raises(Killed):
                run(day)
            assert list(day.files.values_list("tries", "is_read")) == [(tries, False), (0, False)]
    run(day)
    first, second = day.files.all()
    assert first.problem.startswith("Reading it ended the program three times")
    assert (first.is_read, second.is_read, second.problem, second.row_count) == (True, True, "", 1)
    assert day.state == DayState.REVIEW


def test_an_error_that_is_told_counts_as_an_end(kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch) -> None:
    day = opened(kettle_bench)

    def fails(*arguments: object) -> None:
        raise MemoryError

    with monkeypatch.context() as failing:
        failing.setattr(RowReader, "read", fails)
        for _ in range(5):
            with pytest.raises(MemoryError):
                run(day)
    assert day.state == DayState.FAILED
    assert day.problem.startswith("reading stopped: it needs more memory than one task may have.")
    assert set(FieldFile.objects.values_list("tries", "is_read")) == {(0, False)}
    # Applied as it is, it would end with nothing in it: it is read first, and comes to review.
    start_apply(day, None)
    day.refresh_from_db()
    assert (day.state, set(FieldFile.objects.values_list("is_read", flat=True))) == (DayState.REVIEW, {True})


def test_a_day_over_which_the_worker_dies_three_times_stops_with_a_sentence(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    herd(kettle_bench, [417])
    day = opened(kettle_bench)
    with monkeypatch.context() as deadly:
        deadly.setattr(pipeline, "settle_day", dies)
        for _ in range(3):
            with pytest.raises(Killed):
                run(ProcessingDay.objects.get(pk=day.pk))
    day.refresh_from_db()
    with pytest.raises(EndsTheWorker):
        run(day)
    day.refresh_from_db()
    assert (day.state, day.tries) == (DayState.FAILED, 0)
    assert "was ended 3 times while it decided this day" in day.problem
    run(day)
    assert day.state == DayState.REVIEW


def test_a_file_that_another_worker_has_read_meanwhile_is_not_read_again(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    herd(kettle_bench, [417])
    day = opened(kettle_bench)
    first, second = day.files.all()
    opened_files = []

    def meanwhile(content: bytes, name: str) -> object:
        opened_files.append(name)
        FieldFile.objects.filter(pk=second.pk).update(is_read=True)
        return open_field_file(content, name)

    monkeypatch.setattr(read, "open_field_file", meanwhile)
    run(day)
    assert opened_files == [first.name]
    assert (day.state, day.files.get(pk=second.pk).row_count) == (DayState.REVIEW, 0)
