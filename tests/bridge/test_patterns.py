"""A line is understood whole or not at all."""

import re
from decimal import Decimal

import pytest

from herd.bridge.lines import Line
from herd.bridge.patterns import NOT_UNDERSTOOD, Flag, Words, understand
from herd.values.mass import Weight, WeightUnit
from tests.bridge.saying import READER, SCALE


def kilograms(text: str) -> Weight:
    return Weight(Decimal(text), WeightUnit.KG)


@pytest.mark.parametrize("text", ["840270000000123", "840 270000000123", "USA270000000123"])
def test_an_eid_is_read_in_its_written_forms(text):
    assert understand(Line(text), READER).number == "840270000000123"


@pytest.mark.parametrize("text", ["84027000000012", "x840270000000123", "8402700000001234567890", ""])
def test_a_line_that_is_no_number_gives_none(text):
    heard = understand(Line(text), READER)
    assert heard.number == ""
    assert heard.fault


def test_a_damaged_number_is_named_and_never_completed():
    heard = understand(Line("84027000000012O"), READER)
    assert (heard.number, "letters among its digits" in heard.fault) == ("", True)


@pytest.mark.parametrize(
    ("text", "weight", "flags"),
    [
        ("+  450.5 kg", kilograms("450.5"), set()),
        ("M 451 kg", kilograms("451"), {Flag.MOTION}),
        ("N 440 kg", kilograms("440"), {Flag.TARE}),
        ("1180 lb", Weight(Decimal(1180), WeightUnit.LB), set()),
        ("Z 0.0 kg", kilograms("0"), {Flag.ZERO}),
        ("0.0 kg", kilograms("0"), set()),
        ("0 lb", Weight(Decimal(0), WeightUnit.LB), set()),
        ("- 12 kg", None, {Flag.NEGATIVE}),
        ("OL", None, {Flag.OVERLOAD}),
        ("E 450 kg", None, {Flag.ERROR}),
    ],
)
def test_a_line_of_the_scale_says_weight_and_flags(text, weight, flags):
    heard = understand(Line(text), SCALE)
    assert (heard.weight, heard.flags, heard.fault) == (weight, flags, "")
    assert heard.is_of_scale


@pytest.mark.parametrize(
    ("text", "reason"),
    [("450 st", '"st" is no unit'), ("4.5.0 kg", "is not one number"), ("99999 kg", "99999"), ("4500 kg", "4500")],
)
def test_a_weight_that_can_not_be_is_none_and_says_why(text, reason):
    heard = understand(Line(text), SCALE)
    assert heard.weight is None
    assert reason in heard.fault


def test_without_a_unit_in_line_and_configuration_there_is_no_weight():
    bare = [re.compile(r"(?P<weight>[0-9.,]+)")]
    assert "names no unit" in understand(Line("450"), Words(bare)).fault
    assert understand(Line("450"), Words(bare, unit=WeightUnit.LB)).weight == Weight(Decimal(450), WeightUnit.LB)
    comma = Words(bare, unit=WeightUnit.KG, decimal_mark=",")
    assert understand(Line("450,5"), comma).weight == kilograms("450.5")


def test_a_pattern_fits_the_whole_line_or_not():
    assert understand(Line("450 kg 12"), SCALE).fault == NOT_UNDERSTOOD


def test_a_line_that_was_cut_off_is_not_looked_at():
    heard = understand(Line("840270000000123", "cut off in the middle"), READER)
    assert (heard.number, heard.fault) == ("", "cut off in the middle")
