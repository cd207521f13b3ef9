"""Rulings: one or all alike, taken back, kept for the future; they outlive new runs and files."""

import pytest

from herd.accounts.models import Outfit
from herd.intake.days import add_files, remove_file, set_columns
from herd.intake.models import FieldFile, Finding, FindingKind, ProcessingDay, Recipe, Ruling, StandingRule
from herd.intake.pipeline import run
from herd.intake.queries.report import report_of
from herd.intake.review import alike_of, queue, rule, take_back
from herd.registry.services.refused import Refused
from tests.intake.field import (
    WORKED_ON,
    answer,
    apply,
    check_counts,
    csv_file,
    eid,
    finding,
    findings,
    herd,
    kinds,
    record,
    states,
    verbs,
    weights,
    who_has,
    work,
)

STRANGERS = [900_001, 911_113, 922_226]


def strangers(outfit: Outfit, name: str = "reader.csv", **more: object) -> ProcessingDay:
    """Three EIDs that nobody wears, with weights."""
    lines = ["EID,Weight (lb)", *(f"{eid(one)},{1100 + place}" for place, one in enumerate(STRANGERS))]
    return work(outfit, [csv_file(name, lines)], **more)  # type: ignore[arg-type]


def again(day: ProcessingDay) -> ProcessingDay:
    fresh = ProcessingDay.objects.get(pk=day.pk)
    run(fresh)
    return fresh


def test_the_queue_counts_open_findings_in_the_order_worth_deciding(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    lines = ["EID,Weight (lb)", f"{eid(417 * 11)},505", *(f"{eid(one)},1100" for one in STRANGERS)]
    day = work(kettle_bench, [csv_file("reader.csv", lines)])
    assert queue(day) == [(FindingKind.UNKNOWN_TAG, 3), (FindingKind.DOUBTFUL, 1)]


def test_all_alike_are_ruled_together_and_taken_back_together(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    first = findings(day, FindingKind.UNKNOWN_TAG)[0]
    assert len(alike_of(first, "new_animal")) == 3
    assert answer(day, first, "new_animal", all_alike=True) == 3
    assert kinds(day) == []
    assert take_back(day=day, person=None) in {one.title for one in Finding.objects.filter(day=day)}
    assert len(findings(day, FindingKind.UNKNOWN_TAG)) == 3
    assert not Ruling.objects.exists()


def test_only_the_last_ruling_is_taken_back(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    first, second, third = findings(day, FindingKind.UNKNOWN_TAG)
    answer(day, first, "new_animal")
    answer(day, second, "set_aside")
    assert take_back(day=day, person=None) == second.title
    assert {one.pk for one in findings(day, FindingKind.UNKNOWN_TAG)} == {second.pk, third.pk}
    assert take_back(day=day, person=None) == first.title
    assert take_back(day=day, person=None) is None


def test_a_finding_is_the_same_one_each_time_the_day_is_decided(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    before = {one.key: one.pk for one in Finding.objects.filter(day=day)}
    again(day)
    assert {one.key: one.pk for one in Finding.objects.filter(day=day)} == before


def test_a_finding_is_ruled_on_once(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    first = findings(day, FindingKind.UNKNOWN_TAG)[0]
    answer(day, first, "new_animal")
    with pytest.raises(Refused, match="ruled on already"):
        answer(day, Finding.objects.get(pk=first.pk), "set_aside")


def test_a_choice_that_is_not_offered_is_refused(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    with pytest.raises(Refused, match="not one of the choices"):
        rule(day=day, finding=findings(day, FindingKind.UNKNOWN_TAG)[0], choice="keep_record")


def test_a_line_of_which_nothing_can_be_read_is_unusable_with_its_reason(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    lines = ["VID,Weight (lb)", "417,heavy", *["530,1180"] * 4]
    day = work(kettle_bench, [csv_file("vet.csv", lines)])
    assert states(day)[0] == "unusable"
    assert "heavy" in report_of(day).unusable[0].reason


def test_a_typed_cell_beside_others_is_taken_back(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    lines = ["VID,Weight (lb),Preg", "417,heavy,open", "530,1180,bred"]
    day = work(kettle_bench, [csv_file("vet.csv", lines)])
    answer(day, finding(day, FindingKind.UNREADABLE), "type", typed="1175")
    assert take_back(day=day, person=None) is not None
    assert "heavy" in finding(day, FindingKind.UNREADABLE).title
    apply(day)
    assert weights(kettle_bench, cows[417]) == []


def test_the_same_side_is_taken_of_all_alike(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180", f"{eid(530 * 11)},1200"]),
        csv_file("phone.csv", ["VID,Weight (lb)", "417,1190", "530,1210"]),
    ]
    day = work(kettle_bench, files)
    assert answer(day, findings(day, FindingKind.FILES_DISAGREE)[0], "take:1", all_alike=True) == 2
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1190 lb"]
    assert weights(kettle_bench, cows[530]) == ["1210 lb"]


def test_a_side_of_another_file_is_not_alike(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"]),
        csv_file("phone.csv", ["VID,Weight (lb)", "417,1190", "530,1210"]),
        csv_file("vet.csv", ["VID,Weight (lb)", "530,1220"]),
    ]
    day = work(kettle_bench, files)
    first, second = findings(day, FindingKind.FILES_DISAGREE)
    assert first.alike == second.alike
    assert alike_of(first, "take:1") == [first]
    assert answer(day, first, "take:1", all_alike=True) == 1


def test_a_ruling_for_a_side_holds_to_its_value_when_a_file_before_it_is_removed(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"]),
        csv_file("phone.csv", ["VID,Weight (lb)", "417,1190"]),
        csv_file("vet.csv", ["VID,Weight (lb)", "417,1210"]),
    ]
    day = work(kettle_bench, files)
    answer(day, finding(day, FindingKind.FILES_DISAGREE), "take:1")
    remove_file(file=FieldFile.objects.get(day=day, name="scale.csv"))
    day = again(day)
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1190 lb"]


def test_a_ruling_for_a_side_that_is_gone_is_asked_again(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(417 * 11)},1180"]),
        csv_file("phone.csv", ["VID,Weight (lb)", "417,1190"]),
        csv_file("vet.csv", ["VID,Weight (lb)", "417,1210"]),
    ]
    day = work(kettle_bench, files)
    answer(day, finding(day, FindingKind.FILES_DISAGREE), "take:0")
    remove_file(file=FieldFile.objects.get(day=day, name="scale.csv"))
    day = again(day)
    answer(day, finding(day, FindingKind.FILES_DISAGREE), "take:1")
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1210 lb"]


def test_rulings_outlive_a_new_run_and_added_files(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    first = findings(day, FindingKind.UNKNOWN_TAG)[0]
    answer(day, first, "set_aside")
    day = again(day)
    assert len(findings(day, FindingKind.UNKNOWN_TAG)) == 2
    add_files(day=day, files=[csv_file("more.csv", ["EID,Preg", f"{eid(STRANGERS[0])},open"])])
    day = again(day)
    assert len(findings(day, FindingKind.UNKNOWN_TAG)) == 2
    assert states(day, "more.csv") == ["set_aside"]


def test_a_standing_rule_answers_on_the_next_day_and_the_report_says_so(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    answer(day, findings(day, FindingKind.UNKNOWN_TAG)[0], "set_aside", all_alike=True, keep=True)
    later = strangers(kettle_bench, "later.csv", day=WORKED_ON.replace(day=25))
    assert kinds(later) == []
    rulings = report_of(later).rulings
    assert len(rulings) == 3
    assert all(one.by_rule and one.choice == "set_aside" for one in rulings)
    assert states(later) == ["set_aside"] * 3
    check_counts(later)


def test_a_standing_rule_is_of_its_outfit_alone(kettle_bench: Outfit, far_rim: Outfit) -> None:
    herd(kettle_bench, [417])
    herd(far_rim, [530])
    day = strangers(kettle_bench)
    answer(day, findings(day, FindingKind.UNKNOWN_TAG)[0], "set_aside", keep=True)
    assert len(findings(strangers(far_rim), FindingKind.UNKNOWN_TAG)) == 3


def test_a_ruling_taken_back_takes_the_standing_rule_it_made_with_it(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    answer(day, findings(day, FindingKind.UNKNOWN_TAG)[0], "set_aside", keep=True)
    assert kinds(day) == []
    take_back(day=day, person=None)
    assert not StandingRule.objects.exists()
    assert len(findings(day, FindingKind.UNKNOWN_TAG)) == 3


def test_an_answer_about_one_animal_is_not_kept_for_the_future(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID", f"{eid(900_001)},417"])])
    with pytest.raises(Refused, match="stand for the future"):
        answer(day, finding(day, FindingKind.UNKNOWN_TAG), "retag", keep=True)
    assert not Ruling.objects.exists()


def test_typed_words_beside_another_choice_count_for_nothing(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = strangers(kettle_bench)
    answer(day, findings(day, FindingKind.UNKNOWN_TAG)[0], "set_aside", typed="417")
    kept = Ruling.objects.get()
    assert (kept.choice, kept.typed, kept.label) == ("set_aside", "", "Set the line aside")


def test_columns_that_a_person_changed_are_the_recipe_of_the_next_file_of_that_layout(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    lines = ["VID,Reading", "417,1180", "530,1190"]
    day = work(kettle_bench, [csv_file("a.csv", lines)])
    file = FieldFile.objects.get(day=day)
    changed = [
        {**one, "kind": "weight", "settings": {"unit": "lb", "decimal_mark": "."}} if one["index"] == 1 else one
        for one in file.columns
    ]
    set_columns(file=file, columns=changed)
    day = again(day)
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert Recipe.objects.get().outfit == kettle_bench
    later = WORKED_ON.replace(day=25)
    apply(work(kettle_bench, [csv_file("b.csv", ["VID,Reading", "417,1210", "530,1220"])], day=later))
    assert weights(kettle_bench, cows[417]) == ["1180 lb", "1210 lb"]


def test_columns_of_a_file_that_is_in_the_record_are_not_changed(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = work(kettle_bench, [csv_file("a.csv", ["VID,Weight (lb)", "417,1180"])])
    apply(day)
    file = FieldFile.objects.get(day=day)
    before = record(kettle_bench)
    with pytest.raises(Refused, match="undo the day first"):
        set_columns(file=file, columns=file.columns)
    assert record(kettle_bench) == before


def test_rulings_on_a_large_day_are_followed_when_it_is_applied(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("herd.intake.review.SETTLE_AT_ONCE", 1)
    cows = herd(kettle_bench, [417, 530])
    lines = ["EID,VID,Weight (lb)", f"{eid(900_001)},417,1180", f"{eid(530 * 11)},530,1190"]
    day = work(kettle_bench, [csv_file("list.csv", lines)])
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "retag")
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert who_has(kettle_bench, eid(900_001)) == [str(cows[417])]
    assert states(day) == ["applied", "applied"]


def test_what_rulings_on_a_large_day_raise_is_asked_before_it_is_written(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("herd.intake.review.SETTLE_AT_ONCE", 1)
    cows = herd(kettle_bench, [417, 530])
    lines = ["EID,VID,Weight (lb)", f"{eid(900_001)},417,505", f"{eid(530 * 11)},530,1190"]
    day = work(kettle_bench, [csv_file("list.csv", lines)])
    answer(day, finding(day, FindingKind.UNKNOWN_TAG), "retag")
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]
    asked = finding(day, FindingKind.DOUBTFUL)
    assert "as_written" in verbs(asked)
    answer(day, asked, "leave_out")
    apply(day)
    assert "waiting" not in states(day)


def test_a_ruling_taken_back_on_a_large_day_is_not_applied(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("herd.intake.review.SETTLE_AT_ONCE", 1)
    herd(kettle_bench, [417])
    day = strangers(kettle_bench)
    before = record(kettle_bench)
    answer(day, findings(day, FindingKind.UNKNOWN_TAG)[0], "new_animal", all_alike=True)
    take_back(day=day, person=None)
    apply(day)
    assert record(kettle_bench) == before
    assert len(findings(day, FindingKind.UNKNOWN_TAG)) == 3
