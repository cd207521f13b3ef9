"""A sale in a field file against what the record says was given before."""

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from herd.accounts.models import Outfit
from herd.intake.models import FindingKind, ProcessingDay
from herd.registry.services import events as services
from herd.registry.services.batch import NewEvent
from tests.cast import entry
from tests.intake.field import WORKED_ON, csv_file, finding, herd, kinds, work


def give(outfit: Outfit, animal: UUID, days_ago: int, hour: int | None = None, **data: Any) -> None:
    on = WORKED_ON - timedelta(days=days_ago)
    at = datetime(on.year, on.month, on.day, hour, tzinfo=outfit.zone) if hour is not None else None
    one = NewEvent(animal, "treatment", on, {"product": "penicillin", **data}, happened_at=at)
    services.record(entry=entry(outfit), events=[one])


def sold(outfit: Outfit) -> ProcessingDay:
    return work(outfit, [csv_file("sale.csv", ["VID,Sold,Buyer", "417,yes,Far Rim", "530,yes,Far Rim"])])


@pytest.mark.parametrize(
    ("days_ago", "hour", "data", "is_asked"),
    [
        # Date-only rule, computed: 10 days from a day alone free on the eleventh day after it.
        (10, None, {"withdrawal_days": 10}, True),
        (11, None, {"withdrawal_days": 10}, False),
        # Given at midnight it ends at midnight ten times 24 hours on; a minute's knowledge more frees the day.
        (10, 0, {"withdrawal_days": 10}, False),
        (10, 9, {"withdrawal_days": 10}, True),
        (11, None, {"withdrawal_days": 10, "last_on": (WORKED_ON - timedelta(days=10)).isoformat()}, True),
        (90, None, {}, True),
        (10, None, {"withdrawal_days": 0}, False),
    ],
)
def test_a_sale_is_asked_as_long_as_the_animal_is_held(
    kettle_bench: Outfit, days_ago: int, hour: int | None, data: dict[str, Any], is_asked: bool
) -> None:
    cows = herd(kettle_bench, [417, 530])
    give(kettle_bench, cows[417], days_ago, hour, **data)
    assert (FindingKind.IN_WITHDRAWAL in kinds(sold(kettle_bench))) is is_asked


def test_days_that_were_not_entered_are_said_to_be_unknown(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    give(kettle_bench, cows[417], 90)
    asked = finding(sold(kettle_bench), FindingKind.IN_WITHDRAWAL)
    assert "not known to be free" in asked.title
    assert any("withdrawal not entered" in reason for reason in asked.reasons)


def test_what_was_given_after_the_sale_holds_nobody_back(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    give(kettle_bench, cows[417], -1, withdrawal_days=10)
    assert kinds(sold(kettle_bench)) == []
