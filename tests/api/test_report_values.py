"""Reports asked for by programs reckon with the outfit's own values, and say which they are."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from herd.registry.services import events, policies
from herd.registry.services.batch import NewEvent
from herd.reports.breeding import exposure_of
from herd.reports.ownvalues import own_values
from herd.values.policyhistory import PolicyChange, PolicyHistory
from tests.cast import entry, register


@pytest.fixture
def put(kettle_bench):
    def one(name, text, on=date(2020, 1, 1)):
        policies.set_value(entry=entry(kettle_bench), name=name, text=text, in_force_from=on, today=date(2026, 6, 1))

    return one


def served_cow(outfit, on):
    cow = register(outfit, born_on=date(2018, 3, 1), born_precision="day", on=date(2020, 1, 1))
    events.record(entry=entry(outfit), events=[NewEvent(cow, "service", on)])
    return cow


def calvings(outfit, *days):
    cow = served_cow(outfit, days[0] - timedelta(days=280))
    events.record(entry=entry(outfit), events=[NewEvent(cow, "calving", day, {"outcome": "dead"}) for day in days])


def test_due_dates_move_with_an_own_gestation_that_is_named(kettle_bench, reader, put):
    today = timezone.localdate(timezone=kettle_bench.zone)
    served_cow(kettle_bench, today - timedelta(days=280))
    before = reader.get("reports/due/").json()
    assert before["own"] == []
    put("gestation", "290")
    after = reader.get("reports/due/").json()
    assert [one["cows"][0]["due"]["expected"] for one in (before, after)] == [
        str(today + timedelta(days=3)), str(today + timedelta(days=10)),
    ]  # fmt: skip
    assert [(one["name"], one["value"], one["since"]) for one in after["own"]] == [
        ("gestation", "290 days", "2020-01-01")
    ]


def test_a_calving_season_has_periods_as_long_as_the_outfit_says(kettle_bench, reader, put):
    for day in (1, 1, 2, 25):
        calvings(kettle_bench, date(2026, 3, day))
    asked = "reports/calving/?since=2026-02-01&until=2026-05-01"
    assert [one["calves"] for one in reader.get(asked).json()["periods"]][:2] == [3, 1]
    put("calving_period", "30")
    answer = reader.get(asked).json()
    assert [one["calves"] for one in answer["periods"]][:2] == [4, 0]
    assert [one["name"] for one in answer["own"]] == ["calving_period"]


def test_day_one_of_a_season_is_found_as_the_outfit_says_where_it_is_not_asked_for(kettle_bench, reader, put):
    for day in (1, 5, 9):
        calvings(kettle_bench, date(2026, 3, day))
    put("calving_start", "breeding")
    asked = "reports/calving/?since=2026-02-01&until=2026-05-01"
    assert reader.get(asked).json()["starts_on"] == "2026-03-09"
    blind = reader.get(f"{asked}&bred=2025-05-20").json()["starts_on"]
    assert blind == str(date(2025, 5, 20) + timedelta(days=283))
    assert reader.get(f"{asked}&bred=2025-05-20&rule=third_calf").json()["starts_on"] == "2026-03-09"


def test_the_shortest_interval_told_is_the_outfit_s(kettle_bench, reader, put):
    calvings(kettle_bench, date(2025, 3, 1), date(2026, 3, 10))
    asked = "reports/calving/?since=2026-02-01&until=2026-05-01&what=intervals"
    before = reader.get(asked).json()
    put("calving_interval_limits", "380 to 600")
    after = reader.get(asked).json()
    assert before["animals"][0]["words"] != after["animals"][0]["words"]


def test_an_exposure_takes_the_gestations_in_force_when_the_bulls_went_in(kettle_bench, reader, put):
    history = PolicyHistory([PolicyChange("gestation_limits", date(2025, 1, 1), "270 to 300")])
    days = date(2025, 6, 1), date(2025, 8, 1), date(2026, 12, 1)
    assert exposure_of(history, *days).calving_first == date(2025, 6, 1) + timedelta(days=270)
    (one,) = own_values(history.used(), ["gestation_limits", "gestation"])
    assert (one.name, one.value, one.since) == ("gestation_limits", "270 to 300 days", date(2025, 1, 1))
    put("gestation_limits", "270 to 300")
    answer = reader.get("reports/breeding/?bulls_in=2025-06-01&bulls_out=2025-08-01&until=2026-05-01").json()
    assert [one["value"] for one in answer["own"]] == ["270 to 300 days"]
