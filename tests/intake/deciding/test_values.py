"""Values against each other and against the record: what agrees, what is asked, what each answer writes."""

import pytest

from herd.accounts.models import Outfit
from herd.intake.models import FindingKind, ProcessingDay
from herd.registry.services import events as services
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refused
from herd.values.mass import NANOGRAMS, WeightUnit
from tests.cast import entry
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
    record,
    rule_and_apply,
    states,
    verbs,
    weights,
    work,
)

E417, E530 = eid(417 * 11), eid(530 * 11)


def weigh(outfit: Outfit, animal_id: object, pounds: int, day: object = WORKED_ON) -> None:
    data = {"weight": str(pounds), "unit": "lb"}
    one = NewEvent(animal_id, "weight", day, data, weight_ng=pounds * NANOGRAMS[WeightUnit.LB])  # type: ignore[arg-type]
    services.record(entry=entry(outfit), events=[one])


def two_files(outfit: Outfit, first: str, second: str, head: str = "Weight (lb)") -> ProcessingDay:
    files = [csv_file("scale.csv", [f"EID,{head}", first]), csv_file("phone.csv", [f"VID,{head}", second])]
    return work(outfit, files)


def test_pounds_and_kilograms_of_one_weighing_agree(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"]),
        csv_file("phone.csv", ["VID,Weight (kg)", "417,535"]),
    ]
    day = work(kettle_bench, files)
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert states(day) == ["applied", "applied"]


def test_kilograms_that_are_another_weighing_disagree(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"]),
        csv_file("phone.csv", ["VID,Weight (kg)", "417,540"]),
    ]
    assert kinds(work(kettle_bench, files)) == [FindingKind.FILES_DISAGREE]


def test_bred_and_bred_sixty_days_agree_on_the_fuller_word(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = two_files(kettle_bench, f"{E417},bred", "417,bred 60 days", head="Preg")
    assert kinds(day) == []
    apply(day)
    (check,) = events(kettle_bench, cows[417], "pregnancy_check")
    assert check["data"] == {"result": "pregnant", "days": 60}


def test_files_that_disagree_are_asked_and_the_chosen_side_is_written(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = two_files(kettle_bench, f"{E417},1180", "417,1190")
    asked = finding(day, FindingKind.FILES_DISAGREE)
    assert [side["says"] for side in asked.sides] == ["weight 1180 lb", "weight 1190 lb"]
    assert verbs(asked)[:2] == ["take", "take"]
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    rule_and_apply(day, FindingKind.FILES_DISAGREE, "take:1")
    assert weights(kettle_bench, cows[417]) == ["1190 lb"]
    check_counts(day)
    assert "waiting" not in states(day)


def test_a_value_on_which_files_disagree_can_be_left_out(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"]),
        csv_file("phone.csv", ["VID,Weight (lb),Preg", "417,1190,open"]),
    ]
    day = work(kettle_bench, files)
    rule_and_apply(day, FindingKind.FILES_DISAGREE, "leave_out")
    assert weights(kettle_bench, cows[417]) == []
    assert [one["data"]["result"] for one in events(kettle_bench, cows[417], "pregnancy_check")] == ["open"]
    assert states(day) == ["set_aside", "applied"]


def test_a_line_of_a_disagreement_can_go_to_the_animal_one_slip_away(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 418, 530])
    files = [
        csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"]),
        csv_file("phone.csv", ["VID,Weight (lb)", "417,1290"]),
    ]
    day = work(kettle_bench, files)
    asked = finding(day, FindingKind.FILES_DISAGREE)
    rule_and_apply(day, FindingKind.FILES_DISAGREE, f"other:1:{cows[418]}")
    assert asked.choices[2]["choice"] == f"other:1:{cows[418]}"
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert weights(kettle_bench, cows[418]) == ["1290 lb"]
    assert [one["number"] for one in animals(kettle_bench)[str(cows[418])]["tags"]] == ["418", eid(418 * 11)]


def test_a_double_scan_with_the_same_value_collapses_and_with_another_is_asked(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    lines = ["EID,Weight (lb)", f"{E417},1180", f"{E417},1180", f"{E530},1200", f"{E530},1250"]
    day = work(kettle_bench, [csv_file("scale.csv", lines)])
    asked = finding(day, FindingKind.REPEATED_SCAN)
    assert asked.animal_id == cows[530]
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    rule_and_apply(day, FindingKind.REPEATED_SCAN, "take:0")
    assert weights(kettle_bench, cows[530]) == ["1200 lb"]


@pytest.mark.parametrize(
    ("choice", "left"),
    [("keep_record", ["1100 lb"]), ("take", ["1180 lb"]), ("both", ["1100 lb", "1180 lb"])],
)
def test_another_weight_than_the_record_has_is_asked(kettle_bench: Outfit, choice: str, left: list[str]) -> None:
    cows = herd(kettle_bench, [417, 530])
    weigh(kettle_bench, cows[417], 1100)
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"])])
    asked = finding(day, FindingKind.DIFFERS)
    assert verbs(asked) == ["keep_record", "take", "both"]
    rule_and_apply(day, FindingKind.DIFFERS, choice)
    assert sorted(weights(kettle_bench, cows[417])) == left
    assert states(day) == ["set_aside" if choice == "keep_record" else "applied"]


def test_the_same_weight_as_the_record_has_is_known(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    weigh(kettle_bench, cows[417], 1180)
    before = record(kettle_bench)
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"])])
    assert kinds(day) == []
    apply(day)
    assert states(day) == ["known"]
    assert record(kettle_bench) == before


def test_a_weight_that_fits_the_other_unit_is_asked_with_that_first(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    weigh(kettle_bench, cows[417], 1150, WORKED_ON.replace(month=9))
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},535"])])
    asked = finding(day, FindingKind.DOUBTFUL)
    assert verbs(asked) == ["other_unit", "as_written", "type", "leave_out"]
    assert asked.is_suggested
    assert len(asked.reasons) == 2
    rule_and_apply(day, FindingKind.DOUBTFUL, "other_unit")
    assert "535 kg" in weights(kettle_bench, cows[417])


@pytest.mark.parametrize(
    ("choice", "typed", "written"),
    [
        ("as_written", "", ["535 lb"]),
        ("type", "1,135 lb", ["1135 lb"]),
        ("type", "540 kg", ["540 kg"]),
        ("leave_out", "", []),
    ],
)
def test_a_doubtful_weight_is_written_as_the_person_says(
    kettle_bench: Outfit, choice: str, typed: str, written: list[str]
) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},535"])])
    rule_and_apply(day, FindingKind.DOUBTFUL, choice, typed=typed)
    assert weights(kettle_bench, cows[417]) == written
    assert states(day) == ["applied" if written else "set_aside"]


def test_a_typed_weight_that_is_none_is_refused_with_the_reason(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},535"])])
    with pytest.raises(Refused, match="heavy"):
        answer(day, finding(day, FindingKind.DOUBTFUL), "type", typed="heavy")
    assert kinds(day) == [FindingKind.DOUBTFUL]


def test_a_cell_that_cannot_be_read_is_asked_and_the_rest_of_the_line_is_written(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("vet.csv", ["VID,Weight (lb),Preg", "417,heavy,open", "530,1180,bred"])])
    asked = finding(day, FindingKind.UNREADABLE)
    assert "heavy" in asked.title
    rule_and_apply(day, FindingKind.UNREADABLE, "leave_out")
    assert weights(kettle_bench, cows[417]) == []
    assert len(events(kettle_bench, cows[417], "pregnancy_check")) == 1


def test_a_typed_cell_is_read_in_place_of_the_written_one(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("vet.csv", ["VID,Weight (lb),Preg", "417,heavy,open", "530,1180,bred"])])
    rule_and_apply(day, FindingKind.UNREADABLE, "type", typed="1175")
    assert weights(kettle_bench, cows[417]) == ["1175 lb"]


def test_a_typed_cell_that_cannot_be_read_either_is_refused_and_still_asked(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("vet.csv", ["VID,Weight (lb),Preg", "417,heavy,open", "530,1180,bred"])])
    with pytest.raises(Refused, match="fat"):
        answer(day, finding(day, FindingKind.UNREADABLE), "type", typed="fat")
    assert "heavy" in finding(day, FindingKind.UNREADABLE).title


DAMAGED = ["EID,Weight (lb)", "8.4027E+14,1180", f"{E530},1190"]


def test_a_number_ruined_by_a_spreadsheet_is_asked_and_never_guessed(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", DAMAGED)])
    asked = finding(day, FindingKind.DAMAGED_TAG)
    assert verbs(asked) == ["set_aside", "type"]
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]


def test_the_whole_number_can_be_typed_for_a_ruined_one(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", DAMAGED)])
    rule_and_apply(day, FindingKind.DAMAGED_TAG, "type", typed=E417)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_a_ruined_number_typed_wrong_is_refused_and_can_be_typed_again(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", DAMAGED)])
    with pytest.raises(Refused):
        answer(day, finding(day, FindingKind.DAMAGED_TAG), "type", typed="8.4027E+14")
    rule_and_apply(day, FindingKind.DAMAGED_TAG, "type", typed=E417)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]


def test_a_ruined_number_beside_a_new_tube_is_no_new_animal(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("tubes.csv", ["EID,Sample tube", "8.4027E+14,T00417", f"{E530},T00530"])])
    assert verbs(finding(day, FindingKind.DAMAGED_TAG)) == ["set_aside", "type"]
    rule_and_apply(day, FindingKind.DAMAGED_TAG, "type", typed=E417)
    assert events(kettle_bench, cows[417], "sample")[0]["data"]["tube"] == "T00417"


def test_a_line_with_a_ruined_number_can_be_set_aside(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    day = work(kettle_bench, [csv_file("list.csv", DAMAGED)])
    rule_and_apply(day, FindingKind.DAMAGED_TAG, "set_aside")
    assert states(day) == ["set_aside", "applied"]


TUBES = ["VID,Sample tube", "417,T00100", "530,T00100", "688,T00102"]


def test_a_tube_named_for_two_animals_is_asked_for_both(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688])
    day = work(kettle_bench, [csv_file("vet.csv", TUBES)])
    assert len(findings(day, FindingKind.TUBE_TWICE)) == 2
    apply(day)
    assert [len(events(kettle_bench, cows[vid], "sample")) for vid in (417, 530, 688)] == [0, 0, 1]
    first = findings(day, FindingKind.TUBE_TWICE)[0]
    answer(day, first, "take")
    answer(day, finding(day, FindingKind.TUBE_TWICE), "type", typed="T00101")
    apply(day)
    tubes = [events(kettle_bench, cows[vid], "sample")[0]["data"]["tube"] for vid in (417, 530, 688)]
    assert tubes == ["T00100", "T00101", "T00102"]


def test_a_tube_taken_for_two_animals_is_asked_again(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688])
    day = work(kettle_bench, [csv_file("vet.csv", TUBES)])
    for one in findings(day, FindingKind.TUBE_TWICE):
        answer(day, one, "take")
    assert len(findings(day, FindingKind.TUBE_TWICE)) == 2
    apply(day)
    assert [len(events(kettle_bench, cows[vid], "sample")) for vid in (417, 530)] == [0, 0]
    answer(day, findings(day, FindingKind.TUBE_TWICE)[0], "leave_out")
    apply(day)
    assert sorted(len(events(kettle_bench, cows[vid], "sample")) for vid in (417, 530)) == [0, 1]


@pytest.mark.parametrize("typed", ["T00102", "T00007", "", "T1"])
def test_a_typed_tube_that_is_used_or_none_is_refused(kettle_bench: Outfit, typed: str) -> None:
    cows = herd(kettle_bench, [417, 530, 688])
    old = NewEvent(cows[688], "sample", WORKED_ON.replace(month=5), {"tube": "T00007"})
    services.record(entry=entry(kettle_bench), events=[old])
    day = work(kettle_bench, [csv_file("vet.csv", TUBES)])
    with pytest.raises(Refused):
        answer(day, findings(day, FindingKind.TUBE_TWICE)[0], "type", typed=typed)
    apply(day)
    assert [len(events(kettle_bench, cows[vid], "sample")) for vid in (417, 530, 688)] == [0, 0, 2]


def test_a_tube_of_the_record_is_asked_and_cannot_be_taken(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530, 688])
    old = NewEvent(cows[688], "sample", WORKED_ON.replace(month=5), {"tube": "T00100"})
    services.record(entry=entry(kettle_bench), events=[old])
    day = work(kettle_bench, [csv_file("vet.csv", ["VID,Sample tube", "417,T00100", "530,T00101"])])
    assert verbs(finding(day, FindingKind.TUBE_TWICE)) == ["type", "leave_out"]
    rule_and_apply(day, FindingKind.TUBE_TWICE, "leave_out")
    assert events(kettle_bench, cows[417], "sample") == []


def withdrawal_day(outfit: Outfit, animal_id: object) -> ProcessingDay:
    data = {"product": "Long acting drench", "withdrawal_days": 30}
    given = NewEvent(animal_id, "treatment", WORKED_ON.replace(day=10), data)  # type: ignore[arg-type]
    services.record(entry=entry(outfit), events=[given])
    return work(outfit, [csv_file("sale.csv", ["VID,Sold,Buyer", "417,yes,Far Rim", "530,yes,Far Rim"])])


def test_a_sale_in_withdrawal_is_asked_and_can_be_left_out(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = withdrawal_day(kettle_bench, cows[417])
    asked = finding(day, FindingKind.IN_WITHDRAWAL)
    assert verbs(asked) == ["leave_out", "as_written"]
    apply(day)
    assert animals(kettle_bench)[str(cows[530])]["status"] == "sold"
    assert animals(kettle_bench)[str(cows[417])]["status"] == "on_hand"
    rule_and_apply(day, FindingKind.IN_WITHDRAWAL, "leave_out")
    assert animals(kettle_bench)[str(cows[417])]["status"] == "on_hand"


def test_a_sale_in_withdrawal_can_be_recorded_all_the_same(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    day = withdrawal_day(kettle_bench, cows[417])
    rule_and_apply(day, FindingKind.IN_WITHDRAWAL, "as_written")
    animal = animals(kettle_bench)[str(cows[417])]
    assert (animal["status"], animal["group"]) == ("sold", None)
    assert events(kettle_bench, cows[417], "sale")[0]["data"] == {"buyer": "Far Rim"}


def test_weights_with_a_purpose_stand_beside_each_other(kettle_bench: Outfit) -> None:
    born = {"born_on": WORKED_ON.replace(month=4), "born_precision": "day"}
    cows = herd(kettle_bench, [417, 530], animal_class="heifer", **born)
    day = work(kettle_bench, [csv_file("wean.csv", ["VID,Birth weight (lb),Weaning weight (lb)", "417,80,520"])])
    assert kinds(day) == []
    apply(day)
    found = events(kettle_bench, cows[417], "weight")
    assert [(one["data"]["purpose"], one["on"]) for one in found] == [
        ("birth", "2025-04-20"),
        ("weaning", "2025-10-20"),
    ]


