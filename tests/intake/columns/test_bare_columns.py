"""Columns without headings are told by their cells alone.

How tags and weights differ is common practice, no source: tags of a group are all different, weights repeat.
"""

import random
from datetime import date

import pytest

from herd.intake.columns.mapping import guess_columns

TODAY = date(2026, 11, 25)
DICE = random.Random(7)
EIDS = [f"84000312{number:07d}" for number in DICE.sample(range(10**7), 640)]
TAGS = [str(number) for number in DICE.sample(range(1, 641), 640)]
WEIGHTS = [str(round(DICE.gauss(540, 60))) for _ in range(640)]


def bare(*columns):
    return guess_columns([], [list(row) for row in zip(*columns, strict=False)], default_unit="lb", today=TODAY)


def kinds(*columns):
    return [one.kind for one in bare(*columns)]


def test_a_single_column_of_electronic_numbers():
    assert kinds(EIDS) == ["eid"]


def test_tags_of_cows_and_calves_from_1_to_640_are_not_weights():
    assert kinds(TAGS) == ["vid"]
    assert kinds(EIDS, TAGS) == ["eid", "vid"]


def test_weights_that_repeat_are_not_tags_and_are_less_sure():
    found = bare(EIDS, WEIGHTS)
    assert [one.kind for one in found] == ["eid", "weight"]
    assert found[1].confidence < 0.6
    assert "Some numbers repeat, as weights do." in found[1].reasons


def test_tags_and_weights_side_by_side_are_told_apart():
    assert kinds(TAGS, WEIGHTS) == ["vid", "weight"]
    assert kinds(WEIGHTS, TAGS) == ["weight", "vid"]


def test_tags_of_one_hundred_numbers_are_told_from_weights_of_the_same_size():
    tags = [str(number) for number in DICE.sample(range(401, 501), 90)]
    assert kinds(tags, WEIGHTS) == ["vid", "weight"]


def test_tags_scanned_twice_now_and_then_stay_tags():
    assert kinds(TAGS[:300] + TAGS[:9]) == ["vid"]


def test_fractions_and_units_make_weights():
    assert kinds(TAGS, ["231.5", "240.0", "228.5"] * 20)[1] == "weight"
    assert kinds(TAGS, ["512 lb", "498 lb", "530 lb"] * 20)[1] == "weight"


def test_a_running_number_beside_weights_is_no_tag():
    assert kinds([str(place) for place in range(1, 41)], WEIGHTS) == ["row_number", "weight"]


def test_leading_zeros_and_letters_make_tags():
    assert kinds(["0417", "0021", "0305", "0990"], ["K12", "K7", "K31", "K8"])[0] == "vid"
    assert kinds(["K12", "K7", "K31", "K8"]) == ["vid"]


@pytest.mark.parametrize(
    ("cells", "kind"),
    [
        (["2026-10-14", "2026-10-15"], "date"),
        (["10/14/2026 07:05:33", "10/14/2026 07:06:10"], "date_time"),
        (["07:05", "07:06"], "time"),
        (["cow", "heifer"], "animal_class"),
        (["vaca", "vaquilla"], "animal_class"),
        (["open", "bred"], "pregnancy"),
        (["yellow", "white"], "vid_colour"),
        (["81ABC1234", "81ABC1235"], "metal"),
        (["T000417", "T000418"], "tube"),
        (["lb", "kg"], "weight_unit"),
    ],
)
def test_cells_alone_show_what_they_are(cells, kind):
    varied = [cells[place % 2] for place in range(40)]
    if kind in ("metal", "tube"):
        varied = [f"{cells[0][:-4]}{place:04d}" for place in range(40)]
    assert kinds(EIDS, varied) == ["eid", kind]


@pytest.mark.parametrize("cells", [["y", "n"], ["3", "3"], ["b", "b"], ["left", "right"], ["1", "2"]])
def test_cells_that_could_be_several_things_are_unused_with_a_reason(cells):
    found = bare(EIDS, [cells[place % 2] for place in range(40)])[1]
    assert found.kind == "unused"
    assert found.reasons == ["It has no header, and its cells could be several things."]


def test_few_cells_decide_without_failing():
    assert kinds(["840003000000417"]) == ["eid"]
    assert kinds(["417"]) == ["vid"]


def test_of_two_columns_that_could_be_either_the_first_is_the_tags():
    assert kinds(["417", "431", "440"], ["512", "498", "530"]) == ["vid", "weight"]
    assert kinds(EIDS[:3], ["512", "498", "530"]) == ["eid", "weight"]
