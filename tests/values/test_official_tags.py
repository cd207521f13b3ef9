"""Which tags are official, and when a second one is allowed.

Source: 9 CFR 86.4(a) and (c) as restated in 345 IAC 1-2.6-10 (Indiana) and Federal Register 2024-09717.
"""

from datetime import date

import pytest

from herd.values.officialtags import SecondTag, is_official, second_tag_fault

AIN = "840003123456789"
MAKERS = "985113007399202"


@pytest.mark.parametrize(
    ("kind", "number", "day", "expected"),
    [
        ("eid", AIN, date(2026, 3, 1), True),
        ("eid", AIN, None, True),
        # Minnesota Board of Animal Health: manufacturer-coded tags count where they were on before March 11, 2015.
        ("eid", MAKERS, date(2015, 3, 10), True),
        ("eid", MAKERS, date(2015, 3, 11), False),
        ("eid", MAKERS, None, False),
        ("eid", "999000000001337", date(2014, 1, 1), False),
        ("eid", "124000123456789", date(2014, 1, 1), False),
        # Indiana Board of Animal Health: visual-only tags put on before November 5, 2024 stay official for life.
        ("nues", "35ABC1234", date(2024, 11, 4), True),
        ("nues", "35ABC1234", date(2024, 11, 5), False),
        ("nues", "35ABC1234", None, True),
        ("vid", "417", date(2020, 1, 1), False),
        ("eid", "no digits", None, False),
    ],
)
def test_a_tag_is_official_by_its_number_and_the_day_it_went_on(kind, number, day, expected):
    assert is_official(kind, number, day) is expected


@pytest.mark.parametrize(
    ("way", "kind", "number", "worn", "fault"),
    [
        (SecondTag.AIN_BESIDE_METAL, "eid", AIN, {"nues", "vid"}, ""),
        (SecondTag.AIN_BESIDE_METAL, "eid", AIN, {"nues", "eid"}, "metal tags only"),
        (SecondTag.AIN_BESIDE_METAL, "eid", MAKERS, {"nues"}, "begins with 840"),
        (SecondTag.VACCINATION, "nues", "35ABC1234", {"eid"}, ""),
        (SecondTag.VACCINATION, "eid", AIN, {"eid"}, "is a metal tag"),
        (SecondTag.NOT_OFFICIAL, "eid", MAKERS, {"eid"}, ""),
        (SecondTag.NOT_OFFICIAL, "eid", AIN, {"eid"}, "are official"),
        (SecondTag.APPROVED, "eid", AIN, {"eid"}, ""),
    ],
)
def test_a_reason_for_a_second_tag_must_fit_the_tags(way, kind, number, worn, fault):
    said = second_tag_fault(way, kind, number, worn)
    assert fault in said
    assert bool(fault) == bool(said)
