"""What is doubtful about a number in the record; sources stand beside the numbers."""

import pytest

from herd.values.tagdoubts import doubts_about


@pytest.mark.parametrize(
    ("kind", "number", "words"),
    [
        # ICAR: 999 is for tests; misuse of 900155000101234; the range of 900215000000000 was made twice.
        ("eid", "999000000001337", "is for tests"),
        ("eid", "900155000101234", "shared by several manufacturers"),
        ("eid", "985113007399202", "manufacturer's code"),
        ("eid", "736000000000012", "belongs to no country"),
        ("eid", "840000000000000", "nine zeros"),
        # ISO 11784: a national number has 38 bits, at most 274877906943.
        ("eid", "840274877906944", ""),
        ("eid", "84000312345678O", "840003123456780"),
        ("eid", "84000312345678", "14 digits"),
        ("eid", "000123456789012", ""),
        # Beef Improvement Federation: I, O, Q and V are never year letters.
        ("vid", "4O7", "may be 407"),
        ("vid", "1I2", "may be 112"),
        ("vid", "101O", "no year letter"),
        # eCVI Data Exchange Standard 3.1 for the patterns; the list of state digits is from memory.
        ("nues", "35ABC123", "is not a metal tag number"),
        ("nues", "19ABC1234", "no state code known here"),
        ("nues", "XXABC1234", "which is no state"),
    ],
)
def test_a_doubtful_number_is_told_with_its_reason(kind, number, words):
    (said,) = doubts_about(kind, number)[:1]
    assert words in said


@pytest.mark.parametrize(
    ("kind", "number"),
    [
        ("eid", "840003123456789"),
        ("eid", "036000123456789"),
        ("vid", "417"),
        ("vid", "101H"),
        ("vid", "OX"),
        ("nues", "35ABC1234"),
        ("nues", "34DMH0402"),
        ("nues", "WIABC1234"),
        ("brand", "O-I"),
    ],
)
def test_a_sound_number_raises_no_doubt(kind, number):
    assert doubts_about(kind, number) == ()
