"""Processing days: opened, added to, corrected; and the counts of each that always add up to its lines."""

from datetime import date

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from herd.accounts.models import Outfit
from herd.intake.days import GivenFile, add_files, change_day, open_day, remove_file, undo_day
from herd.intake.models import FieldFile, Finding, FindingKind, ProcessingDay, StagedRow
from herd.intake.pipeline import run
from herd.intake.queries.report import report_of
from herd.intake.review import rule
from herd.registry.services.refused import Refused
from tests.intake.field import (
    WORKED_ON,
    apply,
    check_counts,
    csv_file,
    eid,
    finding,
    group,
    herd,
    kinds,
    record,
    states,
    weights,
    work,
)

SCALE = csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"])


def test_a_day_needs_a_file(kettle_bench: Outfit) -> None:
    with pytest.raises(Refused, match="at least one file"):
        work(kettle_bench, [])
    assert not ProcessingDay.objects.exists()


def test_a_group_of_another_outfit_is_refused(kettle_bench: Outfit, far_rim: Outfit) -> None:
    theirs = group(far_rim, "Mill Trap")
    with pytest.raises(Refused, match="not in this outfit's record"):
        open_day(outfit=kettle_bench, person=None, name="", worked_on=WORKED_ON, group=theirs, files=[SCALE])
    assert not ProcessingDay.objects.exists()
    day = work(kettle_bench, [SCALE])
    with pytest.raises(Refused, match="not in this outfit's record"):
        change_day(day=day, name="", worked_on=WORKED_ON, group=theirs)


def test_the_same_bytes_are_in_a_day_once(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = work(kettle_bench, [SCALE])
    with pytest.raises(Refused, match="in this day already"):
        add_files(day=day, files=[GivenFile("copy.csv", SCALE.content)])
    assert FieldFile.objects.filter(day=day).count() == 1


def test_a_file_that_is_added_is_merged_with_the_others(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417])
    day = work(kettle_bench, [SCALE])
    add_files(day=day, files=[csv_file("phone.csv", ["VID,Weight (lb)", "417,1200"])])
    day.refresh_from_db()
    run(day)
    assert finding(day, FindingKind.FILES_DISAGREE).animal_id == cows[417]
    check_counts(day)


def test_a_file_that_is_removed_takes_its_lines_and_questions_with_it(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417])
    day = work(kettle_bench, [SCALE, csv_file("phone.csv", ["VID,Weight (lb)", "417,1200", "77,1180"])])
    assert len(kinds(day)) == 2
    remove_file(file=FieldFile.objects.get(day=day, name="phone.csv"))
    day.refresh_from_db()
    run(day)
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_a_file_that_is_in_the_record_is_not_removed(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = work(kettle_bench, [SCALE])
    apply(day)
    with pytest.raises(Refused, match="undo the day first"):
        remove_file(file=FieldFile.objects.get(day=day))
    undo_day(day=ProcessingDay.objects.get(pk=day.pk), person=None)
    remove_file(file=FieldFile.objects.get(day=day))
    assert not StagedRow.objects.filter(day=day).exists()


def test_files_stay_in_the_order_in_which_they_came(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = work(kettle_bench, [csv_file(f"{name}.csv", ["VID,Preg", f"417,open {name}"]) for name in ("a", "b", "c")])
    remove_file(file=FieldFile.objects.get(day=day, name="a.csv"))
    add_files(day=day, files=[csv_file("d.csv", ["VID,Note", "417,quiet"])])
    places = list(FieldFile.objects.filter(day=day).order_by("position").values_list("name", flat=True))
    assert places == ["b.csv", "c.csv", "d.csv"]
    assert len(set(FieldFile.objects.filter(day=day).values_list("position", flat=True))) == 3


def test_another_date_is_decided_anew(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417])
    day = work(kettle_bench, [SCALE])
    change_day(day=day, name="Moved", worked_on=date(2025, 9, 1), group=day.group)
    run(day)
    apply(day)
    assert '"on": "2025-09-01"' in record(kettle_bench)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_the_date_of_lines_in_the_record_is_not_changed(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = work(kettle_bench, [SCALE])
    apply(day)
    before = record(kettle_bench)
    with pytest.raises(Refused, match="undo the day first"):
        change_day(day=day, name="", worked_on=date(2025, 9, 1), group=day.group)
    day.refresh_from_db()
    change_day(day=day, name="Weighing", worked_on=day.worked_on, group=None)
    run(day)
    apply(day)
    assert record(kettle_bench) == before


def test_the_same_file_on_another_day_is_known(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    apply(work(kettle_bench, [SCALE]))
    before = record(kettle_bench)
    day = work(kettle_bench, [SCALE])
    apply(day)
    assert states(day) == ["known"]
    assert record(kettle_bench) == before


VIDS = [417, 418, 530, 688, 77]
EIDS = [eid(417 * 11), eid(417 * 11 + 1), eid(530 * 11), eid(900_001), "8.4027E+14", "84027", ""]
CELLS = st.tuples(
    st.sampled_from(EIDS),
    st.sampled_from(["", *map(str, VIDS), "four", "41O"]),
    st.sampled_from(["", "1180", "1180", "1190", "505", "heavy", "-3", "535 kg"]),
    st.sampled_from(["", "open", "bred", "bred 60", "??"]),
    st.sampled_from(["", "T00100", "T00101", "T1"]),
    st.sampled_from(["", "2025-10-20", "03/04/2025", "99/99/9999"]),
)
FILES = st.lists(st.lists(CELLS, min_size=1, max_size=5), min_size=1, max_size=3)
HEAD = "EID,VID,Weight (lb),Preg,Sample tube,Date"


@given(files=FILES, picks=st.lists(st.integers(0, 8), min_size=30, max_size=30))
@settings(
    max_examples=20,
    phases=[Phase.generate],
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_whatever_the_lines_are_and_however_they_are_ruled_none_is_lost(
    kettle_bench: Outfit, files: list[list[tuple[str, ...]]], picks: list[int]
) -> None:
    if not ProcessingDay.objects.exists():
        herd(kettle_bench, [417, 418, 530, 688])
    before = record(kettle_bench)
    given_files = [
        csv_file(f"{place}.csv", [f"{HEAD},{place}", *(",".join([*row, ""]) for row in rows)])
        for place, rows in enumerate(files)
    ]
    day = work(kettle_bench, given_files)
    lines = report_of(day).totals.lines
    blank = sum(1 for rows in files for row in rows if not any(row))
    assert lines == sum(map(len, files)) - blank
    check_counts(day)
    apply(day)
    check_counts(day)
    for pick in picks:
        asked = Finding.objects.filter(day=day, is_open=True).order_by("key").first()
        if asked is None:
            break
        choices = [one["choice"] for one in asked.choices if one["choice"] != "type"]
        fresh = ProcessingDay.objects.get(pk=day.pk)
        rule(day=fresh, finding=asked, choice=choices[pick % len(choices)])
        check_counts(day)
    apply(day)
    check_counts(day)
    applied = record(kettle_bench)
    apply(day)
    assert record(kettle_bench) == applied
    verdict = undo_day(day=ProcessingDay.objects.get(pk=day.pk), person=None)
    assert verdict.is_possible or applied == before
    assert record(kettle_bench) == before
    assert report_of(day).totals.lines == lines
