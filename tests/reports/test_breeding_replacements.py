"""Cows gone, females that took their place, heifers kept and which of them are bred, with both replacement rates."""

from datetime import date
from decimal import Decimal

import pytest

from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.reports.breedingreplacements import replacements_of
from herd.values.reproduction import measure
from tests.cast import entry, register

FIRST, LAST = date(2026, 1, 1), date(2026, 10, 31)


def put(outfit, animal, kind, on, **data):
    events.record(entry=entry(outfit), events=[NewEvent(animal, kind, date.fromisoformat(on), data)])


@pytest.fixture
def year(kettle_bench):
    """Four cows of which one is sold and one dies, a heifer that calves, a cow bought, and three heifers kept."""
    bench = kettle_bench
    cows = [register(bench, on=date(2024, 1, 1)) for _ in range(4)]
    put(bench, cows[0], "sale", "2026-05-01", note="open")
    put(bench, cows[1], "death", "2026-06-01", cause="bloat")
    born = {"animal_class": "heifer", "born_on": date(2024, 3, 1), "born_precision": "day"}
    calved = register(bench, on=date(2024, 3, 1), **born)
    put(bench, calved, "calving", "2026-03-01", outcome="live")
    bought = register(bench, on=date(2026, 4, 1))
    young = {"animal_class": "heifer", "born_on": date(2025, 3, 1), "born_precision": "day"}
    bred, is_open, unknown = (register(bench, on=date(2025, 3, 1), **young) for _ in range(3))
    put(bench, bred, "pregnancy_check", "2026-10-01", result="pregnant", days=90)
    put(bench, is_open, "pregnancy_check", "2026-10-01", result="open")
    return {"cows": cows, "calved": calved, "bought": bought, "bred": bred, "open": is_open, "no_word": unknown}


def ids(found, name):
    return {one.animal_id for one in found.behind[name]}


def test_cows_gone_and_those_that_took_their_place(kettle_bench, year):
    found = replacements_of(kettle_bench, FIRST, LAST)
    assert ids(found, "opening") == set(year["cows"])
    assert ids(found, "gone") == set(year["cows"][:2])
    assert {one.words for one in found.behind["gone"]} == {"Sale: open.", "Death: bloat."}
    assert ids(found, "joined") == {year["calved"], year["bought"]}
    assert found.many("closing") == found.many("opening") - found.many("gone") + found.many("joined")


def test_heifers_kept_are_bred_open_or_without_a_word(kettle_bench, year):
    found = replacements_of(kettle_bench, FIRST, LAST)
    assert ids(found, "kept") == {year["bred"], year["open"], year["no_word"]}
    assert [ids(found, name) for name in ("bred", "open", "no_word")] == [
        {year["bred"]}, {year["open"]}, {year["no_word"]},
    ]  # fmt: skip


def test_the_two_rates_have_their_own_divisors(kettle_bench, year):
    cohort = replacements_of(kettle_bench, FIRST, LAST, date(2026, 6, 20)).cohort
    # Gone: 2 of the 4 cows at the start. Joined: 2 of 7 exposed, 2 old cows, the one calved, the one bought, 3 heifers.
    assert measure(cohort, "turnover").value == 50
    assert measure(cohort, "replacement").rounded(2) == Decimal("28.57")
    assert (cohort.exposed, cohort.replacements) == (7, 2)


def test_without_the_day_of_the_bulls_there_is_no_rate_on_exposed(kettle_bench, year):
    assert measure(replacements_of(kettle_bench, FIRST, LAST).cohort, "replacement") is None


def test_another_outfits_cows_are_not_here(far_rim, year):
    assert not any(replacements_of(far_rim, FIRST, LAST).behind.values())
