"""Values in words."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from herd.office.saying import (
    group_digits,
    say_age,
    say_class,
    say_day,
    say_moment,
    say_weighed,
    say_weight,
)
from herd.registry.models import Animal
from herd.values.mass import WeightUnit

TODAY = date(2026, 11, 25)


@dataclass
class Weighing:
    weight_ng: int | None
    data: dict[str, Any] = field(default_factory=dict)


@pytest.mark.parametrize(
    ("day", "precision", "words"),
    [
        (date(2026, 3, 4), "day", "Mar 4, 2026"),
        (date(2026, 3, 4), "instant", "Mar 4, 2026"),
        (date(2026, 3, 1), "month", "Mar 2026"),
        (date(2026, 1, 1), "year", "2026"),
        (date(2026, 1, 1), "unknown", "day not known"),
        (None, "day", "day not known"),
    ],
)
def test_a_day_is_said_no_finer_than_it_is_known(day, precision, words):
    assert say_day(day, precision) == words


def test_a_moment_is_said_in_the_outfits_own_time():
    # 03:30 universal time is the evening before in Denver, seven hours behind in winter (IANA time zones).
    moment = datetime(2026, 1, 2, 3, 30, tzinfo=UTC)
    assert say_moment(moment, ZoneInfo("America/Denver")) == "Jan 1, 2026, 20:30"


@pytest.mark.parametrize(
    ("born", "precision", "words"),
    [
        (date(2026, 11, 25), "day", "0 days"),
        (date(2026, 11, 24), "day", "1 day"),
        (date(2026, 9, 27), "day", "59 days"),
        (date(2026, 9, 26), "day", "60 days"),
        (date(2026, 9, 25), "day", "2 months"),
        (date(2026, 9, 1), "month", "2 months"),
        (date(2024, 11, 26), "day", "23 months"),
        (date(2024, 11, 25), "day", "2 years"),
        (date(2019, 4, 2), "day", "7 years 7 months"),
        (date(2025, 10, 26), "day", "12 months"),
        (date(2020, 1, 1), "year", "about 6 years"),
        (date(2025, 1, 1), "year", "about 1 year"),
        (None, "day", "age not known"),
        (date(2026, 1, 1), "unknown", "age not known"),
        (date(2027, 1, 1), "day", "age not known"),
    ],
)
def test_an_age_is_in_days_then_months_then_years(born, precision, words):
    assert say_age(born, precision, TODAY) == words


@pytest.mark.parametrize(
    ("nanograms", "unit", "words"),
    [
        # One pound is 453,592,370,000 ng (international pound, 1959).
        (1_200 * 453_592_370_000, WeightUnit.LB, "1,200 lb"),
        (85 * 453_592_370_000, WeightUnit.LB, "85 lb"),
        (39 * 10**12, WeightUnit.LB, "86 lb"),
        (40 * 10**12, WeightUnit.LB, "88.2 lb"),
        (600 * 453_592_370_000, WeightUnit.KG, "272 kg"),
        (100_500 * 453_592_370, WeightUnit.LB, "101 lb"),
    ],
)
def test_a_weight_is_whole_from_100_up_and_has_one_decimal_below(nanograms, unit, words):
    assert say_weight(nanograms, unit) == words


def test_a_weight_entered_in_the_outfits_unit_is_said_as_entered():
    weighing = Weighing(1, {"weight": "1200.5", "unit": "lb"})
    assert say_weighed(weighing, WeightUnit.LB) == "1,200.5 lb"


def test_a_weight_entered_in_another_unit_is_said_with_both_figures():
    weighing = Weighing(600 * 453_592_370_000, {"weight": "600", "unit": "lb"})
    assert say_weighed(weighing, WeightUnit.KG) == "272 kg (entered as 600 lb)"


def test_a_weight_that_is_no_figure_is_said_as_it_is():
    assert say_weighed(Weighing(None, {"weight": "heavy"}), WeightUnit.LB) == "heavy"


@pytest.mark.parametrize(
    ("number", "grouped"),
    [("840270000000417", "840 270 000 000 417"), ("417", "417"), ("83ABC1234", "83ABC1234"), ("", "")],
)
def test_only_an_eid_is_grouped(number, grouped):
    assert group_digits(number) == grouped


@pytest.mark.parametrize(
    ("animal_class", "born", "words"),
    [
        ("heifer", date(2026, 4, 1), "heifer calf"),
        ("", date(2026, 4, 1), "calf"),
        ("steer", date(2025, 11, 25), "steer"),
        ("cow", date(2026, 4, 1), "cow"),
        ("bull", None, "bull"),
        ("", None, "class not known"),
    ],
)
def test_a_calf_is_called_one_under_a_year(animal_class, born, words):
    assert say_class(Animal(animal_class=animal_class, born_on=born), TODAY) == words
