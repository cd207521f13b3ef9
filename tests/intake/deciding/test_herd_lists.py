"""Herd lists: the first brings the animals in with all it says of them, a later one is compared."""

from datetime import date

import pytest

from herd.accounts.models import Outfit
from herd.intake.days import GivenFile, remove_file
from herd.intake.models import FieldFile, FindingKind, ProcessingDay
from herd.intake.pipeline import run
from tests.intake.field import (
    WORKED_ON,
    animals,
    answer,
    apply,
    check_counts,
    csv_file,
    eid,
    events,
    finding,
    findings,
    herd,
    kinds,
    notes,
    record,
    rule_and_apply,
    states,
    verbs,
    who_has,
    work,
    worn,
)

HEAD = "EID,VID,Tag colour,Class,Birth date,Hide,Breed,Dam,Sire,Group,Status"
LIST = [
    HEAD,
    f"{eid(4587)},417,yellow,cow,2019-04-02,black,Angus,,,Upper Bench,",
    f"{eid(5830)},530,yellow,cow,2018,red,Hereford,,,Mill Trap,",
    f"{eid(7568)},688,yellow,bull,,black,Angus,,,Bull Pasture,",
    f"{eid(9064)},824,orange,heifer,2025-04-11,black,Angus,417,688,Upper Bench,",
    f"{eid(1672)},152,yellow,cow,2014-03-09,black,Angus,,,Upper Bench,sold",
    f"{eid(2893)},263,yellow,cow,2015-03-19,black,Angus,,,Mill Trap,dead",
]


def list_of(lines: list[str], name: str = "herd.csv") -> GivenFile:
    return csv_file(name, lines, is_herd_list=True)


def first_list(outfit: Outfit, lines: list[str] | None = None) -> ProcessingDay:
    return work(outfit, [list_of(lines or LIST)], of=None)


def animal(outfit: Outfit, vid: str) -> dict:
    return next(one for one in animals(outfit).values() if any(tag["number"] == vid for tag in one["tags"]))


def test_the_first_herd_list_brings_its_animals_in_without_asking(kettle_bench: Outfit) -> None:
    day = first_list(kettle_bench)
    assert kinds(day) == []
    apply(day)
    assert len(animals(kettle_bench)) == 6
    assert states(day) == ["applied"] * 6
    cow = animal(kettle_bench, "417")
    assert (cow["class"], cow["born_on"], cow["born_precision"]) == ("cow", "2019-04-02", "day")
    assert (cow["coat"], cow["group"], cow["status"]) == ("black", "Upper Bench", "on_hand")
    assert [(one["kind"], one["number"], one["from"]) for one in cow["tags"]] == [
        ("eid", eid(4587), None),
        ("vid", "417", None),
    ]
    assert cow["sources"]["born_on"] == {"file": "herd.csv", "line": 2}


def test_a_birth_year_stays_a_year(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    cow = animal(kettle_bench, "530")
    assert (cow["born_on"][:4], cow["born_precision"]) == ("2018", "year")


def test_dam_and_sire_are_found_among_the_newcomers_of_the_same_list(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    calf = animal(kettle_bench, "824")
    assert calf["dam"] == animal(kettle_bench, "417")["id"]
    assert calf["sire"] == animal(kettle_bench, "688")["id"]


def test_dam_and_sire_are_found_in_the_record(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    calves = csv_file("calves.csv", ["VID,EID,Dam,Sire", f"901,{eid(9911)},530,688"])
    day = work(kettle_bench, [calves], of=None)
    rule_and_apply(day, FindingKind.UNKNOWN_TAG, "new_animal")
    calf = animal(kettle_bench, "901")
    assert calf["dam"] == animal(kettle_bench, "530")["id"]
    assert calf["sire"] == animal(kettle_bench, "688")["id"]


def test_a_dam_that_is_on_no_animal_is_noted_and_left_out(kettle_bench: Outfit) -> None:
    day = first_list(kettle_bench, [HEAD, f"{eid(9064)},824,orange,heifer,2025-04-11,,,999,,,"])
    apply(day)
    assert animal(kettle_bench, "824")["dam"] is None
    assert any("Dam 999 was not taken" in note for note in notes(day))


def test_groups_are_made_by_their_names_once(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    lines = [HEAD, f"{eid(9911)},901,yellow,cow,,,,,,upper bench,", f"{eid(9977)},902,yellow,cow,,,,,,Heifer Lot,"]
    day = work(kettle_bench, [list_of(lines, "more.csv")], of=None)
    for one in findings(day, FindingKind.UNKNOWN_TAG):
        answer(day, one, "new_animal")
    apply(day)
    assert animal(kettle_bench, "901")["group"] == "Upper Bench"
    assert animal(kettle_bench, "902")["group"] == "Heifer Lot"


def test_animals_that_the_list_has_as_sold_or_dead_are_so_and_in_no_group(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    for vid, status in (("152", "sold"), ("263", "dead")):
        gone = animal(kettle_bench, vid)
        assert (gone["status"], gone["group"]) == (status, None)


@pytest.mark.parametrize(
    ("sex", "born", "found"),
    [
        ("female", "2019-04-02", "cow"),
        ("female", "2025-03-02", "heifer"),
        ("female", "", ""),
        ("male", "2025-03-02", "bull"),
        ("steer", "", "steer"),
    ],
)
def test_the_class_follows_from_sex_and_age_as_far_as_they_tell(
    kettle_bench: Outfit, sex: str, born: str, found: str
) -> None:
    lines = [f"{eid(4587)},417,{sex},{born}", f"{eid(1)},2,cow,2019-01-01"]
    day = first_list(kettle_bench, ["EID,VID,Sex,Birth date", *lines])
    apply(day)
    assert animal(kettle_bench, "417")["class"] == found


def test_a_list_twice_is_known_the_second_time(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    before = record(kettle_bench)
    day = first_list(kettle_bench)
    assert [one for one in kinds(day) if one not in {FindingKind.NOT_ON_HAND}] == []
    apply(day)
    assert record(kettle_bench) == before
    assert set(states(day)) <= {"known", "waiting"}


def test_a_second_list_asks_about_unknown_animals_and_differences_and_fills_blanks(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    lines = [
        HEAD,
        f"{eid(4587)},417,yellow,cow,2019-04-03,black,Angus,,,Upper Bench,",
        f"{eid(7568)},688,yellow,bull,2020-02-02,black,Angus,,,Bull Pasture,",
        f"{eid(5830)},530,yellow,cow,2018-05-05,red,Hereford,,,Upper Bench,",
        f"{eid(99110)},901,yellow,heifer,,,,,,,",
    ]
    day = work(kettle_bench, [list_of(lines, "fall.csv")], of=None, day=WORKED_ON.replace(day=25))
    assert kinds(day) == [FindingKind.UNKNOWN_TAG, FindingKind.DIFFERS, FindingKind.DIFFERS]
    birth, place = findings(day, FindingKind.DIFFERS)
    assert (birth.field, place.field) == ("born_on", "group")
    apply(day)
    assert animal(kettle_bench, "417")["born_on"] == "2019-04-02"
    assert animal(kettle_bench, "688")["born_on"] == "2020-02-02"
    assert animal(kettle_bench, "530")["born_precision"] == "year"
    answer(day, birth, "take")
    answer(day, place, "take")
    apply(day)
    assert animal(kettle_bench, "417")["born_on"] == "2019-04-03"
    assert animal(kettle_bench, "530")["group"] == "Upper Bench"


def test_a_status_that_differs_from_the_record_is_asked(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    day = first_list(kettle_bench, [HEAD, f"{eid(4587)},417,yellow,cow,,,,,,,sold"])
    asked = finding(day, FindingKind.DIFFERS)
    assert verbs(asked) == ["keep_record", "take"]
    rule_and_apply(day, FindingKind.DIFFERS, "take")
    assert animal(kettle_bench, "417")["status"] == "sold"


def test_animals_of_one_list_that_share_a_visual_tag_are_asked_and_the_others_come_in(kettle_bench: Outfit) -> None:
    lines = ["EID,VID,Class", f"{eid(4587)},417,cow", f"{eid(5830)},417,cow", f"{eid(7568)},688,cow"]
    day = first_list(kettle_bench, lines)
    assert len(findings(day, FindingKind.WHICH_ANIMAL)) == 2
    apply(day)
    assert len(animals(kettle_bench)) == 1
    assert states(day) == ["waiting", "waiting", "applied"]
    answer(day, findings(day, FindingKind.WHICH_ANIMAL)[0], "take")
    assert kinds(day) == []
    apply(day)
    assert len(animals(kettle_bench)) == 3
    assert len(who_has(kettle_bench, "417")) == 1
    assert len(who_has(kettle_bench, eid(4587))) == len(who_has(kettle_bench, eid(5830))) == 1


def test_the_same_visual_number_in_two_colours_is_two_tags(kettle_bench: Outfit) -> None:
    lines = ["EID,VID,Tag colour", f"{eid(4587)},417,yellow", f"{eid(5830)},417,white"]
    day = first_list(kettle_bench, lines)
    assert kinds(day) == []
    apply(day)
    assert len(who_has(kettle_bench, "417")) == 2


def test_a_reading_beside_the_first_list_makes_no_animal(kettle_bench: Outfit) -> None:
    reader = csv_file("reader.csv", ["EID,Weight (lb)", f"{eid(4587)},1180", f"{eid(990_001)},1190"])
    day = work(kettle_bench, [list_of(LIST), reader], of=None)
    asked = finding(day, FindingKind.UNKNOWN_TAG)
    assert eid(990_001) in asked.title
    apply(day)
    assert len(animals(kettle_bench)) == 6
    assert who_has(kettle_bench, eid(990_001)) == []


def test_a_visual_tag_beside_the_first_list_finds_its_animal_once_the_list_is_applied(kettle_bench: Outfit) -> None:
    phone = csv_file("phone.csv", ["VID,Weight (lb)", "417,1180"])
    day = work(kettle_bench, [list_of(LIST), phone], of=None)
    apply(day)
    apply(day)
    assert len(animals(kettle_bench)) == 6
    assert [one["data"]["weight"] for one in animal(kettle_bench, "417")["events"]] == ["1180"]


def test_no_animal_comes_in_once_the_list_was_taken_out_again(kettle_bench: Outfit) -> None:
    reader = csv_file("reader.csv", ["EID,Weight (lb)", f"{eid(4587)},1180"])
    day = work(kettle_bench, [list_of(LIST), reader], of=None)
    remove_file(file=FieldFile.objects.get(day=day, name="herd.csv"))
    day.refresh_from_db()
    run(day)
    assert kinds(day) == [FindingKind.UNKNOWN_TAG]


def test_a_list_of_an_outfit_with_animals_is_compared(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [939])
    day = first_list(kettle_bench)
    assert set(kinds(day)) == {FindingKind.UNKNOWN_TAG}
    apply(day)
    assert len(animals(kettle_bench)) == 1


def test_new_eid_and_new_vid_columns_retag_the_animal(kettle_bench: Outfit) -> None:
    apply(first_list(kettle_bench))
    line = f"417,{eid(900_001)},418"
    day = work(kettle_bench, [csv_file("retag.csv", ["VID,New EID,New VID", line])], of=None)
    assert kinds(day) == []
    apply(day)
    cow = animal(kettle_bench, "417")
    assert sorted((tag["number"], tag["ended"]) for tag in cow["tags"]) == [
        ("417", "replaced"),
        ("418", ""),
        (eid(4587), "replaced"),
        (eid(900_001), ""),
    ]
    assert next(tag["colour"] for tag in cow["tags"] if tag["number"] == "418") == "yellow"


def test_a_new_animal_with_an_old_and_a_new_eid_wears_the_new_one(kettle_bench: Outfit) -> None:
    lines = ["EID,New EID,VID", f"{eid(4587)},{eid(900_001)},417", f"{eid(5830)},,530"]
    day = first_list(kettle_bench, lines)
    apply(day)
    cow = animal(kettle_bench, "417")
    assert [tag["number"] for tag in cow["tags"] if tag["kind"] == "eid" and not tag["ended"]] == [eid(900_001)]
    assert len(animals(kettle_bench)) == 2


def test_a_dam_born_after_her_calf_stops_no_other_line(kettle_bench: Outfit) -> None:
    lines = [
        "EID,VID,Class,Birth date,Dam",
        f"{eid(4587)},417,cow,2024-04-02,",
        f"{eid(5830)},530,heifer,2023-04-02,417",
        f"{eid(7568)},688,cow,2018-04-02,",
    ]
    day = first_list(kettle_bench, lines)
    apply(day)
    assert len(who_has(kettle_bench, eid(7568))) == 1
    check_counts(day)


def test_sample_results_go_to_the_animal_of_the_tube(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    apply(work(kettle_bench, [csv_file("vet.csv", ["VID,Sample tube", "417,T00417", "530,T00530"])]))
    lab = csv_file("lab.csv", ["Sample tube,BVD result", "T00530,positive", "T00417,negative"])
    day = work(kettle_bench, [lab], of=None, day=date(2025, 10, 30))
    assert kinds(day) == []
    apply(day)
    results = {vid: events(kettle_bench, cows[vid], "sample_result")[0]["data"]["result"] for vid in (417, 530)}
    assert results == {417: "negative", 530: "positive"}
    assert worn(kettle_bench, cows[417], "vid") == [("417", "")]
