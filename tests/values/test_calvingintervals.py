"""Days between calvings."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from herd.values.calvingintervals import calving_interval, herd_calving_interval, intervals_of

FIRST = date(2024, 3, 1)


def after(*days):
    return [FIRST + timedelta(days=day) for day in days]


def test_dt_2_calving_interval_across_a_leap_day():
    assert calving_interval(date(1995, 1, 25), date(1996, 3, 5)).value == 405  # Clemson Extension BC-1001


@pytest.mark.parametrize(
    ("days", "expected"),
    [(269, ["impossible"]), (270, ["short"]), (299, ["short"]), (300, []), (730, []), (731, ["long"])],
)
def test_doubtful_interval_is_cautioned(days, expected):
    # Limits computed: less than a pregnancy, far below the target of 365, a calving missed.
    assert [caution.code for caution in calving_interval(*after(0, days)).cautions] == expected


def test_same_day_is_no_interval():
    with pytest.raises(ValueError, match="twins are one calving"):
        calving_interval(FIRST, FIRST)


def test_herd_mean_takes_the_last_interval_of_cows_that_calved_twice():
    # Computed: 370 and 380; the heifer with one calving has none.
    figure = herd_calving_interval([after(0, 400, 770), after(380, 0), after(0), []])
    assert (figure.rounded(1), figure.parts[0].amount, figure.cautions) == (Decimal("375.0"), 2, ())


def test_herd_mean_says_how_many_intervals_look_wrong():
    (caution,) = herd_calving_interval([after(0, 370), after(0, 200)]).cautions
    assert caution.text.startswith("1 of the intervals")


def test_twins_written_twice_are_one_calving():
    assert herd_calving_interval([after(0, 370, 370)]).value == 370
    assert [figure.value for figure in intervals_of(after(770, 0, 0, 400))] == [400, 370]


def test_herd_where_no_cow_calved_twice_has_no_interval():
    with pytest.raises(ValueError, match="No cow has calved twice"):
        herd_calving_interval([after(0)])
    assert intervals_of(after(0)) == ()
