"""Contemporary groups and the ratios inside them."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.classes import AnimalClass
from herd.values.contemporaries import Kept, Stage, contemporary_groups, ratios
from herd.values.policy import PUBLISHED

BULL, STEER, HEIFER = AnimalClass.BULL, AnimalClass.STEER, AnimalClass.HEIFER
BORN = date(2026, 3, 1)
WEANED, YEARLING = BORN + timedelta(days=205), BORN + timedelta(days=365)


def born(*names, on=BORN):
    return dict.fromkeys(names, on)


def weaned(window=None, **places):
    kept = {name: Kept(BULL, WEANED, place) for name, place in places.items()}
    return Stage("weaning", kept, window)


def yearling(**places):
    return Stage("yearling", {name: Kept(BULL, YEARLING, place) for name, place in places.items()})


def members(births, *stages, policy=PUBLISHED):
    return [set(group.members) for group in contemporary_groups(births, stages, policy=policy)]


# The rules are of the Beef Improvement Federation guidelines, Contemporary Groups.


def test_calves_born_close_together_and_managed_alike_are_one_group():
    assert members(born("a", "b"), weaned(a="mill", b="mill")) == [{"a", "b"}]


def test_group_once_split_is_never_joined_again():
    births = born("a", "b", "c")
    stages = weaned(a="mill", b="mill", c="bench"), yearling(a="lot", b="lot", c="lot")
    assert members(births, *stages) == [{"a", "b"}, {"c"}]


def test_group_is_split_by_class_place_feed_treatment_weighing_day_and_rearing():
    alike = Kept(BULL, WEANED, "mill", "grass")
    others = [
        replace(alike, animal_class=STEER),
        replace(alike, place="bench"),
        replace(alike, feed="creep"),
        replace(alike, code="sick pen"),
        replace(alike, weighed_on=WEANED + timedelta(days=1)),
        replace(alike, rearing="twin"),
    ]
    for other in others:
        assert members(born("a", "b"), Stage("weaning", {"a": alike, "b": other})) == [{"a"}, {"b"}]


def test_bull_cut_after_weaning_does_not_join_the_steers_of_weaning():
    births = born("cut late", "cut early")
    weaning = Stage("weaning", {"cut late": Kept(BULL, WEANED), "cut early": Kept(STEER, WEANED)})
    later = Stage("yearling", {name: Kept(STEER, YEARLING) for name in births})
    assert members(births, weaning, later) == [{"cut late"}, {"cut early"}]


def test_calf_not_weighed_at_weaning_stands_apart_as_a_yearling():
    births = born("a", "late")
    assert members(births, weaned(a="mill"), yearling(a="lot", late="lot")) == [{"a"}, {"late"}]


def test_calf_not_weighed_at_the_last_stage_is_in_no_group():
    assert members(born("a", "sold"), weaned(a="mill", sold="mill"), yearling(a="lot")) == [{"a"}]


def test_birth_span_begins_with_the_first_calf_outside_the_one_before():
    births = {"first": BORN, "edge": BORN + timedelta(days=90), "late": BORN + timedelta(days=91)}
    assert members(births, weaned(first="mill", edge="mill", late="mill")) == [{"first", "edge"}, {"late"}]
    short = replace(PUBLISHED, birth_window=30)
    assert members(births, weaned(first="mill", edge="mill", late="mill"), policy=short) == [
        {"first"},
        {"edge", "late"},
    ]


def test_calf_outside_the_age_window_is_a_group_of_its_own_that_says_so():
    births = {"right": BORN, "young": BORN + timedelta(days=46)}  # 205 and 159 days at weaning
    groups = contemporary_groups(births, [weaned(PUBLISHED.weaning_window, right="mill", young="mill")])
    assert [(group.members, group.is_in_window) for group in groups] == [(("right",), True), (("young",), False)]


def test_group_tells_when_its_calves_were_born():
    births = {"b": BORN + timedelta(days=9), "a": BORN}
    (group,) = contemporary_groups(births, [weaned(a="mill", b="mill")])
    assert (group.born_from, group.born_to, group.members) == (births["a"], births["b"], ("a", "b"))


def test_no_stage_and_no_calf_make_no_group():
    assert contemporary_groups(born("a"), []) == contemporary_groups({}, [weaned()]) == ()


def test_calf_without_a_birth_date_is_refused():
    with pytest.raises(ValueError, match="1 of those weighed have no birth date"):
        contemporary_groups({}, [weaned(a="mill")])


def test_calf_weighed_before_its_birth_is_refused():
    with pytest.raises(ValueError, match="was weighed before, for weaning"):
        contemporary_groups(born("a", on=WEANED + timedelta(days=1)), [weaned(a="mill")])


def test_ratio_is_a_share_of_the_group_s_mean():
    groups = contemporary_groups(born("a", "b", "c"), [weaned(a="mill", b="mill", c="bench")])
    found = ratios({"a": 550, "b": Decimal(450), "c": 600}, groups, what="adjusted weaning weight")
    assert {name: figure.value for name, figure in found.items()} == {"a": 110, "b": 90}  # computed
    assert [part.amount for part in found["a"].parts] == [550, 500, 2]


def test_group_of_one_has_no_ratio():
    (group,) = contemporary_groups(born("a"), [weaned(a="mill")])
    assert group.is_single
    assert ratios({"a": 550}, [group], what="weight") == {}


def test_animal_without_a_value_is_left_out_of_the_mean():
    groups = contemporary_groups(born("a", "b", "c"), [weaned(a="mill", b="mill", c="mill")])
    assert {name: figure.value for name, figure in ratios({"a": 60, "b": 60}, groups, what="weight").items()} == {
        "a": 100,
        "b": 100,
    }


def test_ratio_far_from_the_mean_is_cautioned():
    groups = contemporary_groups(born("a", "b"), [weaned(a="mill", b="mill")])
    found = ratios({"a": 200, "b": 600}, groups, what="weight")
    assert [figure.cautions[0].code for figure in found.values()] == ["far_from_group", "far_from_group"]


def test_group_that_lost_weight_has_no_ratio_and_leaves_the_others_theirs():
    groups = contemporary_groups(born("a", "b", "c", "d"), [weaned(a="mill", b="mill", c="bench", d="bench")])
    assert set(ratios({"a": -1, "b": 1, "c": 2, "d": 2}, groups, what="gain")) == {"c", "d"}


PLACES = st.lists(st.sampled_from(["mill", "bench"]), min_size=6, max_size=6)


@given(st.lists(PLACES, min_size=1, max_size=4))
def test_later_stages_only_ever_split(history):
    names = "abcdef"
    births = born(*names)
    stages = [
        Stage(str(number), {name: Kept(HEIFER, WEANED, place) for name, place in zip(names, places, strict=True)})
        for number, places in enumerate(history)
    ]
    for many in range(1, len(stages) + 1):
        earlier, later = members(births, *stages[:many]), members(births, *stages)
        assert all(any(group <= wider for wider in earlier) for group in later)


@given(st.dictionaries(st.sampled_from("abcdef"), st.integers(min_value=1, max_value=900), min_size=2))
def test_ratios_of_a_group_have_a_mean_of_a_hundred(values):
    groups = contemporary_groups(born(*values), [weaned(**dict.fromkeys(values, "mill"))])
    found = ratios(values, groups, what="weight")
    assert sum(figure.value for figure in found.values()) == 100 * len(values)
