"""Frame scores and scrotal circumferences from the record: scores, sizes at 365 days, ratios, and who has none."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from herd.registry.services import events, lists, policies
from herd.registry.services.batch import NewEvent
from herd.reports.growthmeasured import HIP, NO_BIRTH, NO_BULL, SCROTAL, measured
from tests.cast import entry, register

BORN = date(2025, 3, 1)
FIRST, LAST = date(2025, 1, 1), date(2026, 12, 31)


def young(outfit, animal_class="bull", **facts):
    said = {"born_on": BORN, "born_precision": "day", "breed": "Angus", **facts}
    return register(outfit, animal_class=animal_class, on=BORN, **said)


def measure(outfit, animal, kind, text, age):
    key = "height" if kind == HIP else "circumference"
    one = NewEvent(animal, kind, BORN + timedelta(days=age), {key: text})
    events.record(entry=entry(outfit), events=[one])


def by_animal(outfit, kind):
    return {one.animal_id: one for one in measured(outfit, kind, FIRST, LAST)}


def test_frame_score_of_a_bull_of_365_days(kettle_bench):
    # FS-1: Montana State University, bull of 12 months with 49.0 in is frame 5; 4.997 by the equation at 365 days.
    bull = young(kettle_bench)
    measure(kettle_bench, bull, HIP, "49 in", 365)
    line = by_animal(kettle_bench, HIP)[bull]
    assert line.score.rounded(3) == Decimal("4.997")
    assert line.adjusted.value == 49
    assert (line.age_days, line.reason, line.ratio) == (365, "", None)


def test_centimetres_come_to_the_same_score(kettle_bench):
    one, other = young(kettle_bench), young(kettle_bench)
    measure(kettle_bench, one, HIP, "50 in", 365)
    measure(kettle_bench, other, HIP, "127 cm", 365)
    found = by_animal(kettle_bench, HIP)
    assert found[one].score.value == found[other].score.value


def test_circumference_at_365_days_by_the_breed(kettle_bench):
    # SC-1: constructed on the factor of the Beef Improvement Federation, 34.0 + 15 x 0.0374.
    bull = young(kettle_bench)
    measure(kettle_bench, bull, SCROTAL, "34 cm", 350)
    assert by_animal(kettle_bench, SCROTAL)[bull].adjusted.rounded(3) == Decimal("34.561")


def test_breed_by_its_code_has_its_factor(kettle_bench):
    lists.add(entry=entry(kettle_bench), subject="breed", facts={"code": "AN", "name": "Angus"})
    bull = young(kettle_bench, breed="an")
    measure(kettle_bench, bull, SCROTAL, "34 cm", 350)
    assert by_animal(kettle_bench, SCROTAL)[bull].adjusted.rounded(3) == Decimal("34.561")


def test_ratios_are_of_those_of_one_class_measured_on_one_day(kettle_bench):
    bulls = [young(kettle_bench) for _ in range(2)]
    heifer = young(kettle_bench, "heifer")
    for animal, size in zip([*bulls, heifer], ("48 in", "52 in", "47 in"), strict=True):
        measure(kettle_bench, animal, HIP, size, 365)
    later = young(kettle_bench)
    measure(kettle_bench, later, HIP, "50 in", 366)
    found = by_animal(kettle_bench, HIP)
    assert [found[one].ratio.value for one in bulls] == [96, 104]
    assert (found[heifer].ratio, found[later].ratio) == (None, None)


@pytest.mark.parametrize(
    ("kind", "text", "age", "facts", "sentence"),
    [
        (HIP, "39 in", 151, {}, "152 to 639 days"),
        (HIP, "49 in", 365, {"born_precision": "month"}, NO_BIRTH),
        (HIP, "52 in", 365, {"animal_class": "cow"}, "Cows have no frame score"),
        (SCROTAL, "34 cm", 319, {}, "320 to 440 days"),
        (SCROTAL, "34 cm", 350, {"breed": "Longhorn"}, "no factor for this breed"),
        (SCROTAL, "34 cm", 350, {"animal_class": "steer"}, NO_BULL),
    ],
)
def test_what_is_not_adjusted_has_its_reason(kettle_bench, kind, text, age, facts, sentence):
    animal = young(kettle_bench, **facts)
    measure(kettle_bench, animal, kind, text, age)
    line = by_animal(kettle_bench, kind)[animal]
    assert line.adjusted is None
    assert sentence in line.reason


def test_steers_are_scored_by_the_bulls_equation_and_say_so(kettle_bench):
    steer = young(kettle_bench, "steer")
    measure(kettle_bench, steer, HIP, "49 in", 365)
    assert "no equation for steers" in by_animal(kettle_bench, HIP)[steer].cautions[0]


def test_own_window_and_factor_count_from_their_day(kettle_bench):
    early, late = young(kettle_bench), young(kettle_bench)
    measure(kettle_bench, early, SCROTAL, "34 cm", 350)
    measure(kettle_bench, late, SCROTAL, "34 cm", 355)
    day = BORN + timedelta(days=355)
    said = {"name": "scrotal_factors", "text": "Angus 0.032", "in_force_from": day, "today": LAST}
    policies.set_value(entry=entry(kettle_bench), **said)
    found = by_animal(kettle_bench, SCROTAL)
    assert found[early].adjusted.value == 34 + 15 * Fraction("0.0374")
    assert found[late].adjusted.value == 34 + 10 * Fraction("0.032")
    assert found[late].adjusted.source == "set by the outfit"


def test_another_outfits_measurings_are_not_here(kettle_bench, far_rim):
    measure(far_rim, young(far_rim), HIP, "49 in", 365)
    assert measured(kettle_bench, HIP, FIRST, LAST) == []
