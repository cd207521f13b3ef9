"""What the files of one day tell of each other: numbers named together, who was read, times, and order."""

from herd.accounts.models import Outfit
from herd.intake.models import FindingKind
from tests.intake.field import (
    apply,
    cow,
    csv_file,
    eid,
    finding,
    herd,
    kinds,
    rule_and_apply,
    states,
    weights,
    who_has,
    work,
)

VIDS = [210, 345, 417, 530, 688, 701, 824, 939, 152, 263, 476, 587]


def reader(numbers: list[int]) -> list[str]:
    return ["EID", *(eid(number * 11) for number in numbers)]


def clock(minutes: int, seconds: int = 0) -> str:
    return f"{7 + minutes // 60:02d}:{minutes % 60:02d}:{seconds:02d}"


def test_an_unknown_eid_takes_the_visual_tag_that_another_file_names_beside_it(kettle_bench: Outfit) -> None:
    bare = cow(kettle_bench, "417")
    herd(kettle_bench, [530])
    scale = csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(900_001)},1180"])
    phone = csv_file("phone.csv", ["EID,VID", f"{eid(900_001)},417"])
    day = work(kettle_bench, [scale, phone])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, bare) == ["1180 lb"]
    assert who_has(kettle_bench, eid(900_001)) == [str(bare)]


def test_an_eid_that_files_name_beside_two_visual_tags_takes_neither(kettle_bench: Outfit) -> None:
    first, second = cow(kettle_bench, "417"), cow(kettle_bench, "530")
    scale = csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(900_001)},1180"])
    phone = csv_file("phone.csv", ["EID,VID", f"{eid(900_001)},417", f"{eid(900_001)},530"])
    day = work(kettle_bench, [scale, phone])
    assert weights(kettle_bench, first) == weights(kettle_bench, second) == []
    assert states(day, "scale.csv") == ["waiting"]


def test_a_visual_tag_is_asked_where_the_reader_saw_nearly_all_but_not_that_animal(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:6])
    seen = csv_file("reader.csv", reader(VIDS[1:6]))
    phone = csv_file("phone.csv", ["VID,Weight (lb)", f"{VIDS[0]},1180", f"{VIDS[1]},1190"])
    day = work(kettle_bench, [seen, phone])
    asked = finding(day, FindingKind.WHICH_ANIMAL)
    assert any("was not seen by the reader that day" in reason for reason in asked.reasons)
    apply(day)
    assert weights(kettle_bench, cows[VIDS[0]]) == []
    assert weights(kettle_bench, cows[VIDS[1]]) == ["1190 lb"]


def test_not_being_read_says_nothing_where_the_reader_saw_few(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:6])
    seen = csv_file("reader.csv", reader(VIDS[4:6]))
    phone = csv_file("phone.csv", ["VID,Weight (lb)", f"{VIDS[0]},1180"])
    day = work(kettle_bench, [seen, phone])
    assert kinds(day) == []
    apply(day)
    assert weights(kettle_bench, cows[VIDS[0]]) == ["1180 lb"]


def test_a_visual_tag_written_at_another_minute_than_its_eid_was_read_is_asked(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS)
    seen = ["EID,Time", *(f"{eid(vid * 11)},{clock(5 * place)}" for place, vid in enumerate(VIDS))]
    # The phone's clock is two minutes fast; 417 was written where 587 stood in the chute.
    said = list(VIDS)
    said[-1] = 417
    said.remove(417)
    lines = [
        f"{vid},{clock(5 * (len(VIDS) - 1 if place == len(said) - 1 else VIDS.index(vid)) + 2)},{1100 + place}"
        for place, vid in enumerate(said)
    ]
    phone = csv_file("phone.csv", ["VID,Time,Weight (lb)", *lines])
    day = work(kettle_bench, [csv_file("reader.csv", seen), phone])
    asked = finding(day, FindingKind.WHICH_ANIMAL)
    assert asked.animal_id == cows[417]
    assert any("read at another minute" in reason for reason in asked.reasons)
    apply(day)
    assert weights(kettle_bench, cows[417]) == []


def test_rows_without_numbers_are_lined_up_by_time_once_a_person_says_so(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:4])
    seen = ["EID,Time", *(f"{eid(vid * 11)},{clock(2 * place)}" for place, vid in enumerate(VIDS[:4]))]
    # The scale's clock is 20 minutes slow.
    scale = ["Time,Weight (lb)", *(f"06:{40 + 2 * place}:05,{1100 + place}" for place in range(4))]
    day = work(kettle_bench, [csv_file("reader.csv", seen), csv_file("scale.csv", scale)])
    asked = finding(day, FindingKind.LINED_UP)
    assert "the clocks' difference of 1195 seconds" in asked.reasons[0]
    assert states(day, "scale.csv") == ["waiting"] * 4
    apply(day)
    assert weights(kettle_bench, cows[VIDS[0]]) == []
    rule_and_apply(day, FindingKind.LINED_UP, "accept")
    assert [weights(kettle_bench, cows[vid]) for vid in VIDS[:4]] == [[f"{1100 + place} lb"] for place in range(4)]


def test_rows_without_numbers_and_times_are_lined_up_by_order_once_a_person_says_so(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:4])
    # The first head was scanned twice.
    seen = csv_file("reader.csv", reader([VIDS[0], *VIDS[:4]]))
    scale = csv_file("scale.csv", ["Weight (lb)", "1100", "1101", "1102", "1103"])
    day = work(kettle_bench, [seen, scale])
    asked = finding(day, FindingKind.LINED_UP)
    assert "Nothing but the order says so." in asked.reasons
    rule_and_apply(day, FindingKind.LINED_UP, "accept")
    assert [weights(kettle_bench, cows[vid]) for vid in VIDS[:4]] == [[f"{1100 + place} lb"] for place in range(4)]


def test_lines_that_are_not_lined_up_can_be_set_aside(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:2])
    seen = csv_file("reader.csv", reader(VIDS[:2]))
    day = work(kettle_bench, [seen, csv_file("scale.csv", ["Weight (lb)", "1100", "1101"])])
    rule_and_apply(day, FindingKind.LINED_UP, "set_aside")
    assert states(day, "scale.csv") == ["set_aside"] * 2
    assert weights(kettle_bench, cows[VIDS[0]]) == []


def test_rows_without_numbers_that_line_up_with_no_file_are_unusable_with_the_reason(kettle_bench: Outfit) -> None:
    herd(kettle_bench, VIDS[:4])
    seen = csv_file("reader.csv", reader(VIDS[:4]))
    day = work(kettle_bench, [seen, csv_file("scale.csv", ["Weight (lb)", "1100", "1101"])])
    assert kinds(day) == []
    assert states(day, "scale.csv") == ["unusable"] * 2


def test_a_line_in_between_shifts_nothing_by_order(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, VIDS[:3])
    seen = csv_file("reader.csv", reader(VIDS[:3]))
    scale = csv_file("scale.csv", ["Weight (lb)", "1100", "1101", "1102", "1103"])
    day = work(kettle_bench, [seen, scale])
    assert kinds(day) == []
    assert states(day, "scale.csv") == ["unusable"] * 4
    assert [weights(kettle_bench, cows[vid]) for vid in VIDS[:3]] == [[], [], []]
