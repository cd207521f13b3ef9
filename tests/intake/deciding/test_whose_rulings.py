"""Rulings on whose a line is: each choice does what its words say, and nothing else."""

import pytest

from herd.accounts.models import Outfit
from herd.intake.models import FindingKind, ProcessingDay
from herd.registry.services.refused import Refused
from tests.intake.deciding.test_not_on_hand import sell
from tests.intake.field import (
    WORKED_ON,
    animals,
    answer,
    apply,
    check_counts,
    cow,
    csv_file,
    eid,
    finding,
    findings,
    herd,
    kinds,
    record,
    rule_and_apply,
    states,
    verbs,
    weights,
    who_has,
    work,
    worn,
)

NEW = eid(900_001)
TAGGED = ["EID,VID,Weight (lb)", f"{NEW},417,1180"]


def retag_day(outfit: Outfit) -> ProcessingDay:
    return work(outfit, [csv_file("list.csv", TAGGED)])


def test_retag_ends_the_old_eid_as_lost_and_puts_the_new_one_on(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = retag_day(kettle_bench)
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "retag")
    tags = [one for one in animals(kettle_bench)[str(cows[417])]["tags"] if one["kind"] == "eid"]
    old, new = sorted(tags, key=lambda one: one["number"])
    assert (old["number"], old["ended"], old["to"]) == (eid(417 * 11), "lost", WORKED_ON.isoformat())
    assert (new["number"], new["began"], new["from"], new["ended"]) == (NEW, "retagged", WORKED_ON.isoformat(), "")
    assert new["source"] == {"file": "list.csv", "line": 2}
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_retag_is_dated_by_the_line_that_names_the_new_tag(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Date", f"{NEW},417,2025-10-18"])])
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "retag")
    tags = animals(kettle_bench)[str(cows[417])]["tags"]
    assert next(one["from"] for one in tags if one["number"] == NEW) == "2025-10-18"


def test_it_is_that_animal_leaves_its_tags_as_they_are(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = retag_day(kettle_bench)
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "is")
    assert worn(kettle_bench, cows[417]) == [(eid(417 * 11), "")]
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert states(day) == ["applied"]


def test_a_new_animal_is_registered_in_the_group_with_its_numbers_and_values(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Class,Weight (lb)", f"{NEW},88,heifer,720"])])
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "new_animal")
    (made,) = who_has(kettle_bench, NEW)
    animal = animals(kettle_bench)[made]
    assert who_has(kettle_bench, "88") == [made]
    assert (animal["class"], animal["group"], animal["status"]) == ("heifer", "Upper Bench", "on_hand")
    assert [one["data"]["weight"] for one in animal["events"]] == ["720"]


def test_a_line_set_aside_writes_nothing_and_stays_in_the_report(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    day = retag_day(kettle_bench)
    before = record(kettle_bench)
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "set_aside")
    assert record(kettle_bench) == before
    assert states(day) == ["set_aside"]
    check_counts(day)


def test_typing_a_number_puts_an_unknown_tag_on_the_animal_that_wears_it(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{NEW},1180"])])
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "type", typed="530")
    assert worn(kettle_bench, cows[530]) == [(eid(530 * 11), "lost"), (NEW, "")]
    assert weights(kettle_bench, cows[530]) == ["1180 lb"]


def test_typing_a_number_of_a_known_animal_gives_it_the_line(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [530])
    stray = herd(kettle_bench, [417], in_group="Mill Trap")
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    rule_and_apply(day, FindingKind.WHICH_ANIMAL, "type", typed=eid(530 * 11))
    assert weights(kettle_bench, cows[530]) == ["1180 lb"]
    assert weights(kettle_bench, stray[417]) == []
    assert worn(kettle_bench, cows[530], "vid") == [("530", "")]


@pytest.mark.parametrize("typed", ["", "99999", "   "])
def test_a_typed_number_that_names_no_animal_is_refused_with_a_sentence(kettle_bench: Outfit, typed: str) -> None:
    herd(kettle_bench, [417, 530])
    day = retag_day(kettle_bench)
    with pytest.raises(Refused) as refused:
        answer(day, finding(day, FindingKind.UNKNOWN_TAG), "type", typed=typed)
    assert str(refused.value).endswith(".")
    assert kinds(day) == [FindingKind.UNKNOWN_TAG]


def test_numbers_of_two_animals_go_to_the_one_that_is_chosen(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", ["EID,VID,Weight (lb)", f"{eid(417 * 11)},530,1180"])])
    rule_and_apply(day, FindingKind.NUMBERS_DISAGREE, f"is:{cows[530]}")
    assert weights(kettle_bench, cows[530]) == ["1180 lb"]
    assert weights(kettle_bench, cows[417]) == []
    assert worn(kettle_bench, cows[530]) == [(eid(530 * 11), "")]
    assert worn(kettle_bench, cows[417], "vid") == [("417", "")]


def test_an_unknown_visual_tag_can_be_a_new_tag_of_an_animal(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "88,1180"])])
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "type", typed="417")
    assert worn(kettle_bench, cows[417], "vid") == [("417", "lost"), ("88", "")]
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_a_new_animal_with_the_visual_number_of_another_is_made_once(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [530])
    stray = herd(kettle_bench, [417], in_group="Mill Trap")
    lines = ["VID,Tag colour,Weight (lb)", "417,yellow,1180", "530,,1190", "88,,1200"]
    day = work(kettle_bench, [csv_file("phone.csv", lines)])
    answer(day, finding(day, FindingKind.WHICH_ANIMAL), "new_animal")
    # 88 waits still, so that the day is decided again after it was applied.
    apply(day)
    apply(day)
    assert len(animals(kettle_bench)) == len({*cows, *stray}) + 1
    assert weights(kettle_bench, stray[417]) == []
    assert states(day) == ["applied", "applied", "waiting"]


def test_a_tag_ruled_to_be_on_two_animals_is_asked_and_stops_nothing_else(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688])
    lines = ["EID,VID,Weight (lb)", f"{NEW},417,1180", f"{NEW},530,1190", f"{eid(688 * 11)},688,1200"]
    day = work(kettle_bench, [csv_file("list.csv", lines)])
    for one in findings(day, FindingKind.UNKNOWN_TAG):
        answer(day, one, "retag")
    apply(day)
    assert weights(kettle_bench, cows[688]) == ["1200 lb"]
    assert len(who_has(kettle_bench, NEW)) <= 1
    check_counts(day)


def test_two_new_tags_ruled_to_be_on_one_animal_are_asked_and_stop_nothing_else(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    lines = ["EID,VID,Weight (lb)", f"{NEW},417,1180", f"{eid(900_555)},417,1180", f"{eid(530 * 11)},530,1200"]
    day = work(kettle_bench, [csv_file("list.csv", lines)])
    for one in findings(day, FindingKind.UNKNOWN_TAG):
        answer(day, one, "retag")
    apply(day)
    assert weights(kettle_bench, cows[530]) == ["1200 lb"]
    assert len([one for one in worn(kettle_bench, cows[417]) if not one[1]]) == 1
    check_counts(day)


def test_new_animals_ruled_from_lines_that_share_a_number_are_asked(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417])
    lines = ["EID,VID", f"{NEW},88", f"{NEW},89", f"{eid(417 * 11)},417"]
    day = work(kettle_bench, [csv_file("list.csv", lines)])
    for one in findings(day, FindingKind.UNKNOWN_TAG):
        answer(day, one, "new_animal")
    apply(day)
    assert len(who_has(kettle_bench, NEW)) <= 1
    check_counts(day)


def test_a_worn_before_tag_can_go_on_again(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    first = retag_day(kettle_bench)
    rule_and_apply(first, FindingKind.UNKNOWN_TAG, "retag")
    day = work(kettle_bench, [csv_file("old.csv", ["EID", eid(417 * 11)])], day=WORKED_ON.replace(day=25))
    assert "retag" in verbs(finding(day, FindingKind.WORN_BEFORE))
    rule_and_apply(day, FindingKind.WORN_BEFORE, "retag")
    assert who_has(kettle_bench, eid(417 * 11)) == [str(cows[417])]
    assert who_has(kettle_bench, NEW) == []


def test_a_tag_of_a_sold_animal_can_be_of_a_new_one_only_when_a_person_says_so(kettle_bench: Outfit) -> None:
    old = cow(kettle_bench, "417", eid(417 * 11))
    herd(kettle_bench, [530])
    sell(kettle_bench, old)
    day = work(kettle_bench, [csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])])
    assert kinds(day) == [FindingKind.NOT_ON_HAND]
    assert weights(kettle_bench, old) == []
