"""Gain between two days: whose weights count, what is said of the rest, and the dead in and out."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.reports.growth import NOT_WEIGHED, ONE_DAY, Stretch, gain_of, stretches_of
from tests.cast import entry, register
from tests.office.conftest import weigh

FIRST, LAST = date(2025, 1, 1), date(2025, 12, 31)
SPAN = Stretch(FIRST, LAST)


@pytest.fixture
def pen(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Pen 4")


def steer(outfit, group=None, on=FIRST, **facts):
    return register(outfit, animal_class="steer", on=on, group_id=group, **facts)


def die(outfit, animal, on):
    events.record(entry=entry(outfit), events=[NewEvent(animal, "death", on, {})])


def only(found, animal):
    return next(one for one in found.lines if one.animal_id == animal)


def test_the_gain_of_a_printed_example(kettle_bench):
    # ADG-1, a 4-H teaching sheet: 600 lb on Jan 1 to 1,200 by Sep 10 is 252 days and 2.4 lb a day.
    one = steer(kettle_bench)
    weigh(kettle_bench, one, FIRST, "600")
    weigh(kettle_bench, one, date(2025, 9, 10), "1200")
    line = only(gain_of(kettle_bench, {one: SPAN}), one)
    assert (line.last.day - line.first.day).days == 252
    assert line.per_day.rounded(1) == Decimal("2.4")
    assert line.per_day.cautions == ()


def test_only_weights_of_the_time_asked_for_count_and_both_its_days_do(kettle_bench):
    one = steer(kettle_bench, on=date(2024, 1, 1))
    for day, figure in ((date(2024, 12, 31), "500"), (FIRST, "600"), (LAST, "964"), (date(2026, 1, 1), "2000")):
        weigh(kettle_bench, one, day, figure)
    assert only(gain_of(kettle_bench, {one: SPAN}), one).per_day.value == 1


def test_gains_come_in_the_outfits_unit_whatever_was_entered(kettle_bench):
    one = steer(kettle_bench)
    weigh(kettle_bench, one, FIRST, "500")
    weigh(kettle_bench, one, FIRST + timedelta(days=100), "600")
    kettle_bench.weight_unit = "kg"
    kettle_bench.save()
    line = only(gain_of(kettle_bench, {one: SPAN}), one)
    assert (line.per_day.rounded(3), line.per_day.unit) == (Decimal("0.454"), "kg a day")


def test_a_short_span_is_cautioned_and_so_is_the_mean(kettle_bench):
    one = steer(kettle_bench)
    weigh(kettle_bench, one, FIRST, "600")
    weigh(kettle_bench, one, FIRST + timedelta(days=30), "690")
    found = gain_of(kettle_bench, {one: SPAN})
    assert [caution.code for caution in only(found, one).per_day.cautions] == ["short_span"]
    assert "1 of 1 gains" in found.mean.cautions[0].text


def test_who_was_never_weighed_or_on_one_day_only_is_there_with_the_reason(kettle_bench):
    never, once = steer(kettle_bench), steer(kettle_bench)
    weigh(kettle_bench, once, FIRST, "600")
    found = gain_of(kettle_bench, {never: SPAN, once: SPAN})
    assert only(found, never).reason == NOT_WEIGHED
    assert only(found, once).reason == ONE_DAY
    assert (found.mean, found.deads_in, found.deads_out, found.left_out) == (None, None, None, 2)


def test_weight_per_day_of_age_asks_for_a_day_of_birth(kettle_bench):
    by_day = steer(kettle_bench, born_on=FIRST, born_precision="day")
    by_month = steer(kettle_bench, born_on=FIRST, born_precision="month")
    for one in (by_day, by_month):
        weigh(kettle_bench, one, FIRST + timedelta(days=200), "500")
    found = gain_of(kettle_bench, {by_day: SPAN, by_month: SPAN})
    assert only(found, by_day).per_day_of_age.value == Decimal("2.5")
    assert only(found, by_month).per_day_of_age is None


def test_the_dead_count_with_their_days_and_weigh_nothing_out(kettle_bench):
    """A smaller pen of the constructed example: head-days and both gains, computed by hand."""
    lived, died = steer(kettle_bench), steer(kettle_bench)
    for one in (lived, died):
        weigh(kettle_bench, one, FIRST, "700")
    weigh(kettle_bench, lived, FIRST + timedelta(days=170), "1300")
    die(kettle_bench, died, FIRST + timedelta(days=50))
    found = gain_of(kettle_bench, {lived: SPAN, died: SPAN})
    # (1300 - 1400) / (170 + 50), and 600 / 170.
    assert found.deads_in.rounded(3) == Decimal("-0.455")
    assert found.deads_out.rounded(3) == Decimal("3.529")
    assert found.mean.value == found.deads_out.value
    assert (found.gained, found.died, found.left_out) == (1, 1, 0)


def test_the_dead_alone_make_no_gain_of_a_group(kettle_bench):
    died, once = steer(kettle_bench), steer(kettle_bench)
    for one in (died, once):
        weigh(kettle_bench, one, FIRST, "700")
    die(kettle_bench, died, FIRST + timedelta(days=50))
    found = gain_of(kettle_bench, {died: SPAN, once: SPAN})
    assert (found.died, found.deads_in, found.deads_out, found.mean) == (1, None, None, None)


def test_a_death_that_was_taken_back_counts_no_more(kettle_bench):
    one = steer(kettle_bench)
    weigh(kettle_bench, one, FIRST, "700")
    weigh(kettle_bench, one, FIRST + timedelta(days=100), "900")
    death = NewEvent(one, "death", FIRST + timedelta(days=110), {})
    events.record(entry=entry(kettle_bench), events=[death])
    assert gain_of(kettle_bench, {one: SPAN}).died == 1
    events.void(entry=entry(kettle_bench), event_id=death.id, reason="another animal")
    found = gain_of(kettle_bench, {one: SPAN})
    assert (found.died, found.deads_in.value) == (0, 2)


def test_in_a_group_only_the_days_in_it_count_with_the_day_of_leaving(kettle_bench, pen):
    other = groups.open_group(entry=entry(kettle_bench), name="Pen 5")
    stays, leaves = steer(kettle_bench, pen), steer(kettle_bench, pen)
    gone = date(2025, 6, 1)
    groups.move(entry=entry(kettle_bench), animal_ids=[leaves], group_id=other, on=gone)
    assert stretches_of(kettle_bench, pen, FIRST, LAST) == {stays: SPAN, leaves: Stretch(FIRST, gone)}
    assert stretches_of(kettle_bench, other, FIRST, LAST) == {leaves: Stretch(gone, LAST)}
    assert set(stretches_of(kettle_bench, pen, gone, LAST)) == {stays}


def test_the_best_gain_stands_in_front_then_the_dead_then_those_left_out(kettle_bench):
    slow, fast, dead, never = (steer(kettle_bench) for _ in range(4))
    for one, figure in ((slow, "700"), (fast, "900")):
        weigh(kettle_bench, one, FIRST, "600")
        weigh(kettle_bench, one, FIRST + timedelta(days=100), figure)
    weigh(kettle_bench, dead, FIRST, "600")
    die(kettle_bench, dead, FIRST + timedelta(days=9))
    found = gain_of(kettle_bench, dict.fromkeys((never, dead, slow, fast), SPAN))
    assert [one.animal_id for one in found.lines] == [fast, slow, dead, never]


def test_another_outfits_animals_have_no_weights_here(kettle_bench, far_rim):
    theirs = steer(far_rim)
    weigh(far_rim, theirs, FIRST, "600")
    assert only(gain_of(kettle_bench, {theirs: SPAN}), theirs).reason == NOT_WEIGHED


def test_many_head_take_no_more_queries_than_few(kettle_bench, pen, django_assert_num_queries):
    for _ in range(12):
        weigh(kettle_bench, steer(kettle_bench, pen), FIRST, "600")
    with django_assert_num_queries(5):
        gain_of(kettle_bench, stretches_of(kettle_bench, pen, FIRST, LAST))
