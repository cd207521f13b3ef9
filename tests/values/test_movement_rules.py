"""Official identification to cross a state line, by 9 CFR 86.4(b)(1)(iii) and the tests that follow from its text."""

from datetime import date

import pytest

from herd.values.movementrules import (
    EXEMPT,
    RULES,
    Counts,
    Journey,
    Need,
    Traveller,
    counts_as,
    is_dairy_breed,
    latest_day,
    need_of,
)

ON = date(2026, 6, 1)


def born(months: int) -> date:
    """A birth so many whole months before the first of June 2026."""
    years, rest = divmod(ON.month - 1 - months, 12)
    return date(ON.year + years, rest + 1, 1)


@pytest.mark.parametrize(
    ("one", "journey", "need"),
    [
        # 9 CFR 86.4(b)(1)(iii) (A) to (D), by the Indiana Board of Animal Health and Ohio State University Extension.
        (Traveller("steer", born(12)), Journey.ORDINARY, None),
        (Traveller("bull", born(17)), Journey.ORDINARY, None),
        (Traveller("bull", born(18)), Journey.ORDINARY, Need.OLD_ENOUGH),
        (Traveller("steer", born(1), is_dairy=True), Journey.ORDINARY, Need.DAIRY),
        (Traveller("heifer", born(5)), Journey.SHOW, Need.SHOW),
        (Traveller("steer", born(30)), Journey.RODEO, Need.RODEO),
        (Traveller("steer", born(30)), Journey.ORDINARY, None),
        (Traveller("cow", None), Journey.ORDINARY, Need.OLD_ENOUGH),
        (Traveller("heifer", None), Journey.ORDINARY, Need.AGE_UNKNOWN),
        (Traveller("", None), Journey.ORDINARY, Need.AGE_UNKNOWN),
        (Traveller("steer", None), Journey.ORDINARY, None),
    ],
)
def test_each_category_of_the_rule(one, journey, need):
    assert need_of(one, journey, ON) == need


def test_eighteen_months_are_full_on_the_day_itself():
    assert need_of(Traveller("bull", date(2024, 12, 2)), Journey.ORDINARY, ON) is None
    assert need_of(Traveller("bull", date(2024, 12, 1)), Journey.ORDINARY, ON) is Need.OLD_ENOUGH


def test_every_category_and_exemption_has_words_and_a_source():
    assert set(RULES) == set(Need)
    assert all(one.words and "9 CFR 86.4" in one.source for one in [*RULES.values(), *EXEMPT.values()])
    assert set(Journey) - set(EXEMPT) == {Journey.ORDINARY, Journey.RODEO, Journey.SHOW}


@pytest.mark.parametrize(
    ("kind", "number", "put_on", "counts"),
    [
        ("eid", "840003123456789", date(2026, 1, 1), Counts.OFFICIAL),
        # Federal Register 2024-09717: what was on before November 5, 2024 stays official for life.
        ("nues", "35ABC1234", date(2024, 11, 4), Counts.OFFICIAL),
        ("nues", "35ABC1234", date(2024, 11, 5), Counts.NOT_OFFICIAL),
        ("nues", "35ABC1234", None, Counts.OFFICIAL),
        # Minnesota Board of Animal Health: manufacturers' numbers only before March 11, 2015.
        ("eid", "982000123456789", date(2015, 3, 10), Counts.OFFICIAL),
        ("eid", "982000123456789", date(2015, 3, 11), Counts.NOT_OFFICIAL),
        ("eid", "900000123456789", None, Counts.NOT_OFFICIAL),
        ("eid", "999000123456789", date(2010, 1, 1), Counts.NOT_OFFICIAL),
        ("eid", "124000123456789", date(2020, 1, 1), Counts.FOREIGN),
        ("vid", "417", date(2020, 1, 1), Counts.NOT_OFFICIAL),
    ],
)
def test_what_a_number_counts_as(kind, number, put_on, counts):
    assert counts_as(kind, number, put_on)[0] is counts


def test_what_is_not_official_says_why():
    assert "by eye" in counts_as("nues", "35ABC1234", date(2025, 1, 1))[1]
    assert "manufacturer" in counts_as("eid", "982000123456789", date(2020, 1, 1))[1]
    assert "Canada" in counts_as("eid", "124000123456789", date(2020, 1, 1))[1]


@pytest.mark.parametrize("breed", ["Holstein", "HO", "Angus x Holstein", "ho/an", "Jersey-cross", "Brown Swiss"])
def test_breeds_kept_for_milk_and_their_crosses(breed):
    assert is_dairy_breed(breed)


@pytest.mark.parametrize("breed", ["", "Angus", "AN", "Hereford x Angus", "Texas Longhorn", "Shorthorn"])
def test_other_breeds(breed):
    assert not is_dairy_breed(breed)


def test_a_day_known_to_the_month_or_year_is_taken_at_its_latest():
    day = date(2024, 2, 1)
    told = [latest_day(day, one) for one in ("day", "month", "year", "unknown")]
    assert told == [day, date(2024, 2, 29), date(2024, 12, 31), None]
