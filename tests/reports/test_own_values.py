"""Reports reckon with the values that were in force on their day: a change dated back changes older ones."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from herd.registry.queries.policies import policies_of
from herd.registry.services import events, lists, policies
from herd.registry.services.batch import NewEvent
from herd.reports.calving import season_of
from herd.reports.calvinglate import PAST_DUE, females_by_word
from herd.reports.due import due_cows
from herd.reports.growth import Stretch, gain_of
from herd.reports.growthadjusted import NO_DAM, NO_DAM_AGE, calf_crop
from herd.reports.growthcalves import WEANING
from herd.values.mass import Weight, WeightUnit
from tests.cast import entry, register

BORN = date(2025, 3, 1)
TODAY = date(2026, 6, 1)
FIRST, LAST = date(2025, 1, 1), date(2025, 12, 31)


def put(outfit, name, text, on):
    policies.set_value(entry=entry(outfit), name=name, text=text, in_force_from=on, today=TODAY)


def weigh(outfit, animal, age, figure, purpose=""):
    data = {"weight": figure, "unit": "lb", "purpose": purpose}
    grams = Weight(Decimal(figure), WeightUnit.LB).nanograms
    one = NewEvent(animal, "weight", BORN + timedelta(days=age), data, weight_ng=grams)
    events.record(entry=entry(outfit), events=[one])


def calf(outfit, dam=None, age=205, figure="520"):
    born = {"born_on": BORN, "born_precision": "day"}
    one = register(outfit, animal_class="heifer", on=BORN, dam_id=dam, **born)
    weigh(outfit, one, 0, "80", "birth")
    weigh(outfit, one, age, figure, "weaning")
    return one


def cow(outfit, years=6):
    return register(outfit, born_on=date(2025 - years, 3, 1), born_precision="day", on=date(2024, 1, 1))


def crop(outfit):
    return {one.calf.id: one for one in calf_crop(outfit, FIRST, LAST).lines}


def test_a_wider_window_takes_in_weights_from_its_day_on_only(kettle_bench):
    dam = cow(kettle_bench)
    early, late = calf(kettle_bench, dam, 260), calf(kettle_bench, dam, 265)
    assert "160 to 250 days" in crop(kettle_bench)[late].reason
    put(kettle_bench, "weaning_window", "120 to 280", BORN + timedelta(days=265))
    found = crop(kettle_bench)
    assert WEANING in found[late].figures
    assert "160 to 250 days" in found[early].reason


def test_a_change_dated_back_changes_an_older_report(kettle_bench):
    one = calf(kettle_bench, cow(kettle_bench, years=2))
    assert crop(kettle_bench)[one].figures[WEANING].value == 520 + 54
    put(kettle_bench, "dam_ages", "2, 9, 70, 63\n5, 0, 0, 0", date(2020, 1, 1))
    assert crop(kettle_bench)[one].figures[WEANING].value == 520 + 63


def test_a_change_of_a_later_day_leaves_the_report_as_it_was(kettle_bench):
    one = calf(kettle_bench, cow(kettle_bench, years=2))
    put(kettle_bench, "dam_ages", "2, 9, 70, 63", date(2026, 1, 1))
    assert crop(kettle_bench)[one].figures[WEANING].value == 520 + 54


def test_own_standard_birth_weight_is_taken_where_none_is_asked_for(kettle_bench):
    one = register(
        kettle_bench, animal_class="heifer", on=BORN, dam_id=cow(kettle_bench), born_on=BORN, born_precision="day"
    )
    weigh(kettle_bench, one, 200, "520", "weaning")
    assert "Without a birth weight" in crop(kettle_bench)[one].reason
    put(kettle_bench, "standard_birth_weight", "80", FIRST)
    assert crop(kettle_bench)[one].figures[WEANING].value == 531
    asked = {line.calf.id: line for line in calf_crop(kettle_bench, FIRST, LAST, Decimal(70)).lines}
    assert asked[one].figures[WEANING].value == Decimal("531.25")


def test_calves_without_a_dams_age_are_adjusted_where_the_outfit_says_so_and_stand_apart(kettle_bench):
    dam = cow(kettle_bench)
    one, other = calf(kettle_bench, dam, figure="500"), calf(kettle_bench, dam, figure="540")
    alone, youngster = calf(kettle_bench, figure="560"), calf(kettle_bench, register(kettle_bench), figure="580")
    assert [crop(kettle_bench)[key].reason for key in (alone, youngster)] == [NO_DAM, NO_DAM_AGE]
    put(kettle_bench, "adjusts_without_dam_age", "yes", FIRST)
    found = crop(kettle_bench)
    assert found[alone].figures[WEANING].cautions[0].code == "no_dam_age"
    # 560 and 580 have the mean 570; the two with a dam's age keep theirs of 520.
    assert [round(float(found[key].ratios[WEANING].value), 2) for key in (one, other, alone, youngster)] == [
        96.15, 103.85, 98.25, 101.75,
    ]  # fmt: skip


def test_birth_window_parts_contemporaries(kettle_bench):
    dam = cow(kettle_bench)
    calf(kettle_bench, dam)
    late = {"born_on": BORN + timedelta(days=40), "born_precision": "day"}
    two = register(kettle_bench, animal_class="heifer", on=late["born_on"], dam_id=cow(kettle_bench), **late)
    weigh(kettle_bench, two, 40, "80", "birth")
    weigh(kettle_bench, two, 205, "480", "weaning")
    assert [len(one.group.members) for one in calf_crop(kettle_bench, FIRST, LAST).groups] == [2]
    put(kettle_bench, "birth_window", "30", FIRST)
    assert [len(one.group.members) for one in calf_crop(kettle_bench, FIRST, LAST).groups] == [1, 1]


def test_fill_caution_goes_by_the_last_weighing(kettle_bench):
    one = calf(kettle_bench, cow(kettle_bench))
    weigh(kettle_bench, one, 255, "600")
    span = {one: Stretch(BORN + timedelta(days=100), LAST)}
    assert gain_of(kettle_bench, span).lines[0].per_day.cautions
    put(kettle_bench, "fill_caution", "40", BORN + timedelta(days=255))
    assert not gain_of(kettle_bench, span).lines[0].per_day.cautions


@pytest.mark.parametrize(("text", "day"), [("290", date(2026, 4, 7)), ("283", date(2026, 3, 31))])
def test_due_dates_take_the_values_of_today(kettle_bench, text, day):
    one = cow(kettle_bench)
    served = NewEvent(one, "service", date(2025, 6, 21))
    events.record(entry=entry(kettle_bench), events=[served])
    if text != "283":
        put(kettle_bench, "gestation", text, date(2026, 3, 1))
    assert [each.due.expected for each in due_cows(kettle_bench, date(2026, 3, 20), date(2026, 5, 1))] == [day]


def test_females_past_due_go_by_the_season_s_last_day(kettle_bench):
    one = cow(kettle_bench)
    events.record(entry=entry(kettle_bench), events=[NewEvent(one, "service", date(2025, 6, 21))])
    season = season_of(kettle_bench, date(2026, 1, 1), date(2026, 4, 15))
    assert [each.animal_id for each in females_by_word(kettle_bench, season)[PAST_DUE]] == [one]
    put(kettle_bench, "gestation", "290", date(2026, 4, 15))
    assert females_by_word(kettle_bench, season)[PAST_DUE] == []


def test_the_policies_used_are_told(kettle_bench):
    put(kettle_bench, "fill_caution", "40", date(2025, 6, 1))
    one = calf(kettle_bench, cow(kettle_bench))
    history = policies_of(kettle_bench)
    gain_of(kettle_bench, {one: Stretch(FIRST, LAST)}, history)
    assert [each.own(["fill_caution"]) for each in history.used()] == [{"fill_caution": 40}]


def test_a_breed_entered_by_its_code_has_its_own_gestation(kettle_bench):
    cow = register(kettle_bench, breed="he", born_on=date(2018, 3, 1), born_precision="day", on=date(2020, 1, 1))
    events.record(entry=entry(kettle_bench), events=[NewEvent(cow, "service", date(2025, 6, 21))])
    put(kettle_bench, "gestation_by_breed", "Hereford 285", FIRST)

    def expected():
        return [each.due.expected for each in due_cows(kettle_bench, date(2026, 3, 20), date(2026, 5, 1))]

    assert expected() == [date(2026, 3, 31)]
    lists.add(entry=entry(kettle_bench), subject="breed", facts={"code": "HE", "name": "Hereford"})
    assert expected() == [date(2026, 4, 2)]
    season = season_of(kettle_bench, date(2026, 1, 1), date(2026, 4, 5))
    assert [each.day for each in females_by_word(kettle_bench, season)["expected"]] == [date(2026, 4, 2)]
