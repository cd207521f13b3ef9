"""Dates: day and month that could be swapped, and lines dated apart from the rest of their file."""

import pytest

from herd.accounts.models import Outfit
from herd.intake.days import set_columns
from herd.intake.models import FieldFile, FindingKind, ProcessingDay
from herd.intake.pipeline import run
from herd.intake.review import take_back
from tests.intake.field import (
    WORKED_ON,
    answer,
    apply,
    csv_file,
    eid,
    events,
    finding,
    herd,
    kinds,
    record,
    rule_and_apply,
    states,
    work,
)

VIDS = [210, 345, 417, 530, 688, 701, 824, 939]


def lines(*dates: str) -> list[str]:
    return ["VID,Weigh date,Weight (lb)", *(f"{vid},{day},1180" for vid, day in zip(VIDS, dates, strict=False))]


def days_of(outfit: Outfit, cows: dict[int, object]) -> list[str]:
    return [one["on"] for animal in cows.values() for one in events(outfit, animal, "weight")]  # type: ignore[arg-type]


def doubtful_order(outfit: Outfit) -> ProcessingDay:
    """Two dates that read as days either way, and neither as the day of the work."""
    return work(outfit, [csv_file("scale.csv", lines("03/04/2025", "05/06/2025"))])


def test_a_date_column_that_proves_no_order_is_asked_and_its_file_waits_as_a_whole(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    day = doubtful_order(kettle_bench)
    asked = finding(day, FindingKind.DATE_ORDER)
    assert [one["choice"] for one in asked.choices] == ["order:DMY", "order:MDY", "order:none"]
    apply(day)
    assert days_of(kettle_bench, cows) == []
    assert states(day) == ["waiting", "waiting"]


@pytest.mark.parametrize(
    ("choice", "written"),
    [
        ("order:DMY", ["2025-04-03", "2025-06-05"]),
        ("order:MDY", ["2025-03-04", "2025-05-06"]),
        ("order:none", ["2025-10-20", "2025-10-20"]),
    ],
)
def test_dates_are_read_in_the_order_a_person_gives(kettle_bench: Outfit, choice: str, written: list[str]) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    day = doubtful_order(kettle_bench)
    rule_and_apply(day, FindingKind.DATE_ORDER, choice)
    assert days_of(kettle_bench, cows) == written


@pytest.mark.parametrize("choice", ["order:DMY", "order:none"])
def test_an_order_taken_back_is_asked_again(kettle_bench: Outfit, choice: str) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    day = doubtful_order(kettle_bench)
    answer(day, finding(day, FindingKind.DATE_ORDER), choice)
    take_back(day=day, person=None)
    assert kinds(day) == [FindingKind.DATE_ORDER]
    rule_and_apply(day, FindingKind.DATE_ORDER, "order:MDY")
    assert days_of(kettle_bench, cows) == ["2025-03-04", "2025-05-06"]


def test_an_order_is_asked_for_a_column_whose_heading_has_spaces_around_it(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    text = [" VID , Weigh date , Weight (lb) ", *lines("03/04/2025", "05/06/2025")[1:]]
    day = work(kettle_bench, [csv_file("scale.csv", text)])
    rule_and_apply(day, FindingKind.DATE_ORDER, "order:DMY")
    assert days_of(kettle_bench, cows) == ["2025-04-03", "2025-06-05"]


def test_a_column_whose_heading_is_very_long_can_be_ruled_on(kettle_bench: Outfit) -> None:
    herd(kettle_bench, VIDS[:2])
    head = "Weigh date as the scale's own clock had it " + "which may be off by a day or two " * 5
    text = [f"VID,{head},Weight (lb)", *lines("03/04/2025", "05/06/2025")[1:]]
    day = work(kettle_bench, [csv_file("scale.csv", text)])
    file = FieldFile.objects.get(day=day)
    columns = [{**one, "kind": "date"} if one["index"] == 1 else one for one in file.columns]
    set_columns(file=file, columns=columns)
    run(day)
    answer(day, finding(day, FindingKind.DATE_ORDER), "order:DMY")
    assert kinds(day) == []


def test_the_day_of_the_work_settles_the_order(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    worked_on = WORKED_ON.replace(day=9)
    day = work(kettle_bench, [csv_file("scale.csv", lines("09/10/2025", "09/10/2025"))], day=worked_on)
    assert kinds(day) == []
    apply(day)
    assert days_of(kettle_bench, cows) == ["2025-10-09", "2025-10-09"]


def apart(outfit: Outfit, odd: str) -> ProcessingDay:
    worked_on = WORKED_ON.replace(month=10, day=9)
    return work(outfit, [csv_file("scale.csv", lines(*["2025-10-09"] * 7, odd))], day=worked_on)


def test_a_line_dated_apart_from_its_file_is_asked(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS)
    day = apart(kettle_bench, "2025-09-10")
    asked = finding(day, FindingKind.DOUBTFUL)
    assert asked.is_suggested
    assert "changed places" in asked.reasons[0]
    apply(day)
    assert days_of(kettle_bench, cows) == ["2025-10-09"] * 7
    rule_and_apply(day, FindingKind.DOUBTFUL, "usual_day")
    assert days_of(kettle_bench, cows) == ["2025-10-09"] * 8


def test_a_line_dated_apart_can_be_right(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS)
    day = apart(kettle_bench, "2025-07-30")
    assert not finding(day, FindingKind.DOUBTFUL).is_suggested
    rule_and_apply(day, FindingKind.DOUBTFUL, "as_written")
    assert sorted(days_of(kettle_bench, cows)) == ["2025-07-30", *["2025-10-09"] * 7]


def test_a_line_that_says_more_after_its_date_was_ruled_is_not_asked_again(kettle_bench: Outfit) -> None:
    herd(kettle_bench, VIDS)
    day = apart(kettle_bench, "2025-09-10")
    rule_and_apply(day, FindingKind.DOUBTFUL, "usual_day")
    before = record(kettle_bench)
    run(day)
    apply(day)
    assert kinds(day) == []
    assert record(kettle_bench) == before


def test_a_line_dated_before_the_animal_was_born_stops_no_other_line(kettle_bench: Outfit) -> None:
    born = {"born_on": WORKED_ON.replace(year=2020, month=4), "born_precision": "day"}
    cows = herd(kettle_bench, VIDS[:2], **born)
    text = ["EID,Weigh date,Weight (lb)", f"{eid(210 * 11)},2019-10-20,1180", f"{eid(345 * 11)},2025-10-20,1180"]
    day = work(kettle_bench, [csv_file("scale.csv", text)])
    apply(day)
    assert days_of(kettle_bench, cows) == ["2025-10-20"]
    assert states(day) == ["waiting", "applied"]
    rule_and_apply(day, FindingKind.DOUBTFUL, "usual_day")
    assert days_of(kettle_bench, cows) == ["2025-10-20"] * 2


def test_a_line_dated_in_the_future_stops_no_other_line(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    text = ["EID,Weigh date,Weight (lb)", f"{eid(210 * 11)},2097-10-20,1180", f"{eid(345 * 11)},2025-10-20,1180"]
    day = work(kettle_bench, [csv_file("scale.csv", text)])
    apply(day)
    assert days_of(kettle_bench, cows) == ["2025-10-20"]
