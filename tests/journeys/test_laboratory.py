"""Samples go out by tube, results come back as a field file, and each goes to the animal that was sampled."""

from datetime import date
from pathlib import Path

import pytest
from django.urls import reverse

from herd.intake.days import GivenFile
from herd.intake.models import ProcessingDay
from herd.registry.models import Event
from herd.registry.services import events as event_services
from herd.registry.services.batch import NewEvent
from tests.cast import entry
from tests.intake.field import (
    answer,
    apply,
    check_counts,
    csv_file,
    events,
    finding,
    findings,
    herd,
    kinds,
    record,
    rule_and_apply,
    states,
    verbs,
    work,
    xlsx_file,
)

SAMPLED_ON, REPORTED_ON = date(2025, 10, 20), date(2025, 10, 29)
FILE = Path(__file__).resolve().parents[2] / "fixtures" / "field_files" / "laboratory-results" / "input.csv"
VIDS = (417, 530, 688, 751, 822)
HEAD = "Tube,Test,Result,Value,Unit,Date"


@pytest.fixture
def sampled(kettle_bench):
    """Five cows, each with a sample in a tube of its number; the tubes went to the laboratory."""
    cows = herd(kettle_bench, VIDS)
    lines = ["VID,Sample tube,Sample type,Laboratory"]
    lines += [f"{vid},T00{vid},ear notch,State laboratory" for vid in VIDS]
    apply(work(kettle_bench, [csv_file("samples.csv", lines)], day=SAMPLED_ON))
    return cows


def back(outfit, lines, head=HEAD) -> ProcessingDay:
    return work(outfit, [csv_file("results.csv", [head, *lines])], of=None, day=date(2025, 10, 30))


def results(outfit, animal):
    return [one["data"] for one in events(outfit, animal, "sample_result")]


def test_a_laboratory_file_goes_the_whole_way(kettle_bench, sampled):
    """Seven lines: three clear, one tube reported twice with two results, one tube unknown, one ruined."""
    before = record(kettle_bench)
    day = work(kettle_bench, [GivenFile("lab.csv", FILE.read_bytes())], of=None, day=date(2025, 10, 30))
    assert kinds(day) == ["damaged_tag", "unknown_tag", "repeated_scan"]
    assert record(kettle_bench) == before
    apply(day)
    [said] = results(kettle_bench, sampled[530])
    assert said == {
        "tube": "T00530", "test": "BVD ELISA", "result": "Positive", "value": "1.21", "value_unit": "S/P",
        "laboratory": "State laboratory",
    }  # fmt: skip
    assert events(kettle_bench, sampled[530], "sample_result")[0]["on"] == "2025-10-29"
    assert results(kettle_bench, sampled[751]) == []
    assert [len(events(kettle_bench, sampled[vid], "sample")) for vid in VIDS] == [1] * 5
    check_counts(day)


def test_the_sample_keeps_its_tissue_and_laboratory(kettle_bench, sampled):
    [sample] = events(kettle_bench, sampled[417], "sample")
    assert sample["data"] == {"tube": "T00417", "tissue": "ear notch", "laboratory": "State laboratory"}


def test_results_as_a_workbook_come_the_same_way(kettle_bench, sampled):
    rows = [["Tube", "Test", "Result"], ["T00417", "Johnes", "negative"], ["T00530", "Johnes", "positive"]]
    day = work(kettle_bench, [xlsx_file("results.xlsx", rows)], of=None)
    assert kinds(day) == []
    apply(day)
    assert results(kettle_bench, sampled[530]) == [{"tube": "T00530", "test": "Johnes", "result": "positive"}]


def test_a_measured_value_alone_is_the_result(kettle_bench, sampled):
    apply(back(kettle_bench, ["T00417,0.62,S/P"], "Tube,Value of result,Result unit"))
    assert results(kettle_bench, sampled[417]) == [{"tube": "T00417", "result": "0.62 S/P"}]


def test_a_result_sent_again_on_another_day_is_known(kettle_bench, sampled):
    apply(back(kettle_bench, ["T00417,BVD,Negative,0.04,S/P,2025-10-29"]))
    again = back(kettle_bench, ["T00417,bvd,negative,0.04,S/P,2025-10-30"])
    assert (kinds(again), states(again)) == ([], ["known"])


@pytest.mark.parametrize(
    ("choice", "left"), [("keep_record", ["Negative"]), ("take", ["Positive"]), ("both", ["Negative", "Positive"])]
)
def test_a_result_that_differs_from_the_record_is_asked(kettle_bench, sampled, choice, left):
    apply(back(kettle_bench, ["T00417,BVD,Negative,0.04,S/P,2025-10-29"]))
    again = back(kettle_bench, ["T00417,BVD,Positive,0.94,S/P,2025-10-30"])
    assert kinds(again) == ["differs_from_record"]
    apply(again)
    assert [one["result"] for one in results(kettle_bench, sampled[417])] == ["Negative"]
    rule_and_apply(again, "differs_from_record", choice)
    assert [one["result"] for one in results(kettle_bench, sampled[417])] == left


def test_two_tests_of_one_tube_and_two_tubes_of_one_animal_stand_beside_each_other(kettle_bench, sampled):
    second = NewEvent(sampled[417], "sample", SAMPLED_ON, {"tube": "T10417"})
    event_services.record(entry=entry(kettle_bench), events=[second])
    lines = ["T00417,BVD,neg,,,", "T00417,Johnes,pos,,,", "T10417,BVD,pos,,,"]
    day = back(kettle_bench, lines)
    assert kinds(day) == []
    apply(day)
    assert len(results(kettle_bench, sampled[417])) == 3


def test_a_tube_that_the_record_does_not_know_brings_no_animal_in(kettle_bench, sampled):
    day = back(kettle_bench, ["T00999,BVD,positive,,,"])
    one = finding(day, "unknown_tag")
    assert verbs(one) == ["type", "set_aside"]
    assert "T00999" in one.title
    answer(day, one, "type", typed="822")
    apply(day)
    assert [said["result"] for said in results(kettle_bench, sampled[822])] == ["positive"]
    assert [sample["data"]["tube"] for sample in events(kettle_bench, sampled[822], "sample")] == ["T00999", "T00822"]


def test_a_tube_that_is_another_animals_is_asked_and_goes_where_the_sample_is(kettle_bench, sampled):
    day = back(kettle_bench, ["T00530,417,BVD,positive"], "Tube,VID,Test,Result")
    one = finding(day, "tube_used_twice")
    assert verbs(one) == ["leave_out", "other"]
    apply(day)
    assert Event.objects.of(kettle_bench).filter(kind="sample_result").count() == 0
    answer(day, one, "other")
    apply(day)
    assert [len(results(kettle_bench, sampled[vid])) for vid in (417, 530)] == [0, 1]


def test_a_tube_reported_for_two_animals_is_asked_for_both(kettle_bench, sampled):
    lines = ["T00530,530,BVD,negative", "T00530,417,BVD,positive"]
    day = back(kettle_bench, lines, "Tube,VID,Test,Result")
    assert len(findings(day, "tube_used_twice")) == 2
    apply(day)
    assert Event.objects.of(kettle_bench).filter(kind="sample_result").count() == 0


def test_a_sample_that_nobody_recorded_is_asked_before_its_result_stands(kettle_bench, sampled):
    day = back(kettle_bench, ["T77777,417,BVD,positive"], "Tube,VID,Test,Result")
    assert kinds(day) == ["doubtful_value"]
    rule_and_apply(day, "doubtful_value", "take")
    new = next(one for one in events(kettle_bench, sampled[417], "sample") if one["data"]["tube"] == "T77777")
    assert new["on"] is None
    assert len(results(kettle_bench, sampled[417])) == 1


def test_a_result_reaches_an_animal_that_was_sold_since_without_a_question(kettle_bench, sampled):
    sale = NewEvent(sampled[417], "sale", date(2025, 10, 25), {})
    event_services.record(entry=entry(kettle_bench), events=[sale])
    day = back(kettle_bench, ["T00417,BVD,negative,,,2025-10-29"])
    assert kinds(day) == []
    apply(day)
    assert len(results(kettle_bench, sampled[417])) == 1


def test_results_on_the_day_of_the_sampling_find_their_animals_in_the_other_file(kettle_bench):
    cows = herd(kettle_bench, VIDS)
    samples = csv_file("samples.csv", ["VID,Tube", *(f"{vid},T00{vid}" for vid in VIDS)])
    day = work(kettle_bench, [samples, csv_file("results.csv", ["Tube,Test,Result", "T00417,BVD,negative"])])
    apply(day)
    assert kinds(day) == []
    assert len(results(kettle_bench, cows[417])) == 1


def test_the_page_tells_results_and_what_is_still_out(client, cast, sampled):
    apply(back(cast.kettle_bench, ["T00417,BVD,Negative,0.04,S/P,2025-10-29"]))
    client.force_login(cast.ada)
    page = client.get(reverse("office:report-samples"), {"since": "2025-01-01", "until": "2025-12-31"})
    words = " ".join(page.content.decode().split())
    assert "1 with a result" in words
    assert "4 still out</a>" in words
    assert "BVD: Negative (0.04 S/P)" in words
