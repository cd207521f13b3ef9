"""Adjusted weaning and yearling weights from the record: the figures, who is left out and why, groups and dams."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.reports.growthadjusted import NO_BIRTH, NO_DAM, NO_DAM_AGE, NO_WEANING, calf_crop
from herd.values.mass import Weight, WeightUnit
from tests.cast import entry, register

BORN = date(2025, 3, 1)
FIRST, LAST = date(2025, 1, 1), date(2025, 12, 31)


@pytest.fixture
def bench(kettle_bench):
    return kettle_bench


def weigh(outfit, animal, age: int, figure: str, purpose: str = "") -> None:
    data: dict[str, Any] = {"weight": figure, "unit": "lb", "purpose": purpose}
    grams = Weight(Decimal(figure), WeightUnit.LB).nanograms
    one = NewEvent(animal, "weight", BORN + timedelta(days=age), data, weight_ng=grams)
    events.record(entry=entry(outfit), events=[one])


def cow(outfit, years=6, precision="day"):
    return register(outfit, born_on=date(2025 - years, 3, 1), born_precision=precision, on=date(2024, 1, 1))


def calf(outfit, dam, animal_class="heifer", **facts):
    said = {"born_on": BORN, "born_precision": "day", **facts}
    return register(outfit, animal_class=animal_class, on=BORN, dam_id=dam, **said)


def line_of(crop, animal):
    return next(one for one in crop.lines if one.calf.id == animal)


def crop_of(outfit, **more):
    return calf_crop(outfit, FIRST, LAST, **more)


@pytest.mark.parametrize(
    ("animal_class", "weaned", "born", "age", "years", "wanted"),
    [
        # Computed from the formula of the Beef Improvement Federation guidelines, Weaning Weight.
        ("bull", "520", "80", 200, 2, "591.00"),
        ("heifer", "480", "75", 190, 2, "565.97"),
        ("steer", "560", "85", 230, 6, "508.37"),
        ("heifer", "500", "70", 215, 4, "498.00"),
    ],
)
def test_weaning_weight_at_205_days_with_the_dams_age_from_the_record(
    bench, animal_class, weaned, born, age, years, wanted
):
    one = calf(bench, cow(bench, years), animal_class)
    weigh(bench, one, 0, born, "birth")
    weigh(bench, one, age, weaned, "weaning")
    assert line_of(crop_of(bench), one).figures["weaning"].rounded(2) == Decimal(wanted)


def test_birth_and_yearling_weights_are_adjusted_too(bench):
    one = calf(bench, cow(bench, 3))
    for age, figure, purpose in ((0, "70", "birth"), (205, "500", "weaning"), (365, "820", "yearling")):
        weigh(bench, one, age, figure, purpose)
    figures = line_of(crop_of(bench), one).figures
    # Michigan State University Extension: a dam of three adds 5 lb at birth and 36 for a heifer at weaning.
    assert {name: figure.value for name, figure in figures.items()} == {"birth": 75, "weaning": 536, "yearling": 856}


def test_a_cow_a_day_short_of_three_is_two_years_old(bench):
    dam = register(bench, born_on=date(2022, 3, 2), born_precision="day", on=date(2024, 1, 1))
    one = calf(bench, dam)
    weigh(bench, one, 0, "70", "birth")
    assert line_of(crop_of(bench), one).figures["birth"].value == 78


def test_an_unnamed_weight_counts_by_its_age_and_a_named_one_goes_first(bench):
    unnamed, named = calf(bench, cow(bench)), calf(bench, cow(bench))
    for one in (unnamed, named):
        weigh(bench, one, 0, "70", "birth")
        weigh(bench, one, 170, "400")
        weigh(bench, one, 205, "500")
    weigh(bench, named, 210, "520", "weaning")
    crop = crop_of(bench)
    weights = [line_of(crop, one).calf.weights["weaning"] for one in (unnamed, named)]
    assert [(one.age_days, one.by_age) for one in weights] == [(205, True), (210, False)]


def test_calves_left_out_stand_there_with_the_reason(bench):
    dam = cow(bench)
    left = {
        "dam": calf(bench, None),
        "age of the dam": calf(bench, cow(bench, precision="year")),
        "young": calf(bench, dam),
        "not weaned": calf(bench, dam),
        "no birth weight": calf(bench, dam),
        "no birth": calf(bench, dam, born_on=None, born_precision="unknown"),
        "month": calf(bench, dam, born_precision="month"),
    }
    for name, one in left.items():
        if name != "no birth weight":
            weigh(bench, one, 0, "70", "birth")
        if name != "not weaned":
            weigh(bench, one, 159 if name == "young" else 205, "500", "weaning")
    crop = crop_of(bench)
    said = {name: line_of(crop, one).reason for name, one in left.items()}
    assert (said["dam"], said["age of the dam"], said["not weaned"]) == (NO_DAM, NO_DAM_AGE, NO_WEANING)
    assert (said["no birth"], said["month"]) == (NO_BIRTH, NO_BIRTH)
    assert "159 days of age isn't adjusted" in said["young"]
    assert said["no birth weight"].startswith("Without a birth weight")
    assert (crop.adjusted("weaning"), crop.groups, crop.dams()) == (0, [], [])


def test_a_standard_birth_weight_is_taken_where_asked_for_and_said(bench):
    one = calf(bench, cow(bench))
    weigh(bench, one, 205, "500", "weaning")
    figure = line_of(crop_of(bench, standard=Decimal(80)), one).figures["weaning"]
    assert (figure.value, [caution.code for caution in figure.cautions]) == (500, ["assumed_birth_weight"])


def weaned(outfit, figure, age=205, **facts):
    one = calf(outfit, cow(outfit), **facts)
    weigh(outfit, one, 0, "70", "birth")
    weigh(outfit, one, age, figure, "weaning")
    return one


def test_ratios_are_held_against_calves_of_one_class_weighed_on_one_day(bench):
    heavy, light, bull = weaned(bench, "550"), weaned(bench, "450"), weaned(bench, "600", animal_class="bull")
    crop = crop_of(bench)
    # Computed: 550 and 450 against their mean of 500; the bull stands alone.
    assert [line_of(crop, one).ratios["weaning"].value for one in (heavy, light)] == [110, 90]
    assert line_of(crop, bull).ratios == {}
    assert sorted(len(one.group.members) for one in crop.groups) == [1, 2]


def test_calves_kept_in_another_group_on_the_eve_are_no_contemporaries(bench):
    one, other = weaned(bench, "550"), weaned(bench, "450")
    lot = groups.open_group(entry=entry(bench), name="Creep lot")
    groups.move(entry=entry(bench), animal_ids=[one], group_id=lot, on=BORN + timedelta(days=205))
    assert line_of(crop_of(bench), one).ratios, "moved on the day itself they still ran together"
    groups.move(entry=entry(bench), animal_ids=[other], group_id=lot, on=BORN + timedelta(days=100))
    assert line_of(crop_of(bench), one).ratios == {}


def test_a_bull_cut_on_the_weaning_day_was_a_bull_up_to_it(bench):
    one = weaned(bench, "550", animal_class="bull")
    events.record(entry=entry(bench), events=[NewEvent(one, "castration", BORN + timedelta(days=205), {})])
    assert str(crop_of(bench).groups[0].group.last.animal_class) == "bull"


def test_twins_are_a_group_of_their_own(bench):
    dam = cow(bench)
    pair = [calf(bench, dam), calf(bench, dam)]
    for one in (*pair, calf(bench, cow(bench))):
        weigh(bench, one, 0, "70", "birth")
        weigh(bench, one, 205, "500", "weaning")
    kept = {one.group.last.rearing: len(one.group.members) for one in crop_of(bench).groups}
    assert kept == {"twin": 2, "single": 1}


def test_dams_have_the_mean_of_their_calves_the_best_ratio_in_front(bench):
    heavy, light = weaned(bench, "550"), weaned(bench, "450")
    crop = crop_of(bench)
    dams = [line_of(crop, one).calf.dam_id for one in (heavy, light)]
    assert [(one.dam_id, one.calves, one.mean, one.ratio) for one in crop.dams()] == [
        (dams[0], 1, 550, 110),
        (dams[1], 1, 450, 90),
    ]


def test_another_outfits_calves_stay_out(bench, far_rim):
    weaned(far_rim, "500")
    assert crop_of(bench).lines == []


def test_more_calves_take_no_more_queries(bench, django_assert_max_num_queries):
    for _ in range(8):
        weaned(bench, "500")
    with django_assert_max_num_queries(11):
        crop_of(bench)
