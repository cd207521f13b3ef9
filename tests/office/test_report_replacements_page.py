"""The page of replacements: counts with the animals behind them, both rates, and how it leaves."""

from datetime import date

from django.urls import reverse

from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import entry, register

PAGE = "office:report-replacements"
ASKED = {"since": "2026-01-01", "until": "2026-10-31"}


def text(answer):
    return " ".join(answer.content.decode().split())


def test_counts_open_their_animals_and_both_rates_are_named(ada_in, cast):
    cow = register(cast.kettle_bench, on=date(2024, 1, 1))
    register(cast.kettle_bench, on=date(2024, 1, 1))
    gone = NewEvent(cow, "death", date(2026, 5, 1), {"cause": "bloat"})
    events.record(entry=entry(cast.kettle_bench), events=[gone])
    page = text(ada_in.get(reverse(PAGE), ASKED))
    assert "Cows gone of the opening herd" in page
    assert "50.0" in page
    assert "say on which day the bulls went in" in page
    assert "Replacement rate of exposed" in text(ada_in.get(reverse(PAGE), {**ASKED, "bulls_in": "2026-04-01"}))
    behind = text(ada_in.get(reverse("office:report-replacements-animals"), {**ASKED, "what": "gone"}))
    assert "Death: bloat." in behind
    assert "both stand here" in text(ada_in.get(reverse(PAGE), {**ASKED, "as": "print"}))


def test_nobody_there_is_said_and_a_wrong_day_stands_beside_its_field(ada_in, cast):
    assert "No cow and no heifer" in text(ada_in.get(reverse(PAGE), ASKED))
    answer = ada_in.get(reverse(PAGE), {**ASKED, "bulls_in": "2199-01-01"})
    assert "lies in the future" in text(answer)


def test_a_count_that_is_none_is_not_found(ada_in, cast):
    address = reverse("office:report-replacements-animals")
    assert ada_in.get(address, {"what": "tides"}).status_code == 404
    assert ada_in.get(address).url == reverse(PAGE)
