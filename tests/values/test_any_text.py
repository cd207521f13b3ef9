"""Whatever stands in a cell, a reading answers with a value or with Unreadable, never another error."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.bodycondition import read_body_condition
from herd.values.cells import fold, is_missing, strip_guards
from herd.values.classes import read_class
from herd.values.colours import read_coat, read_colour
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.fielddates import DayOrder, infer_order, read_date, read_time
from herd.values.metal import might_be_metal, read_metal
from herd.values.national import read_national
from herd.values.pregnancy import read_pregnancy
from herd.values.premises import check_character, read_premises
from herd.values.problems import Unreadable
from herd.values.telegram import decode_telegram
from herd.values.tubes import read_tube
from herd.values.visual import read_visual
from herd.values.weights import WeightUnit, find_unit, read_weight
from herd.values.yearletters import years_for

TODAY = date(2026, 6, 1)
CELLS = st.one_of(
    st.text(),
    st.text(alphabet="0123456789 .,-/:+EeTZ#'\"=()oOlIDEUS\u00a0\ufeff\t\x02\u0663\u00bd", max_size=40),
    st.text(alphabet="0123456789ABCDEFabcdef.", min_size=14, max_size=34),
    st.from_regex(r"\A[0-9]{1,2}[-/. ][A-Za-z0-9]{1,5}[-/. ]?[0-9]{0,5}\Z"),
    st.from_regex(r"\A[a-z+]{0,5} ?[0-9]{1,5}[.,]?[0-9]{0,5} ?[a-z]{0,6}\Z"),
)

READINGS = {
    "electronic": read_electronic,
    "metal": read_metal,
    "premises": read_premises,
    "check character": check_character,
    "visual": read_visual,
    "tube": read_tube,
    "colour": read_colour,
    "coat": read_coat,
    "class": read_class,
    "pregnancy": read_pregnancy,
    "body condition": read_body_condition,
    "time": read_time,
    "telegram": decode_telegram,
    "weight": lambda text: read_weight(text, WeightUnit.LB),
    "weight without unit": lambda text: read_weight(text, None, decimal_mark=","),
    "date": lambda text: read_date(text, None, today=TODAY),
    "date day first": lambda text: read_date(text, DayOrder.DMY, today=TODAY, serial_epoch=1904),
    "date month first": lambda text: read_date(text, DayOrder.MDY, today=TODAY, serial_epoch=None),
    "date year first": lambda text: read_date(text, DayOrder.YMD, today=TODAY),
    "year letter": lambda text: years_for(text, 1950, 2050),
} | {
    f"national {country}": lambda text, country=country: read_national(country, text)
    for country in ("GB", "HR", "PL", "FI", "LU", "BE", "DK", "DE", "IE", "RO")
}


def outcome(read, text):
    """The value, or the refusal itself."""
    try:
        return read(text)
    except Unreadable as refusal:
        return refusal


@pytest.mark.parametrize("name", READINGS)
@given(text=CELLS)
def test_reading_gives_a_value_or_says_why_not(name, text):
    value = outcome(READINGS[name], text)
    assert value is not None
    if isinstance(value, Unreadable):
        assert value.code
        assert " " not in value.code
        assert value.reason.endswith(".")
        assert "\n" not in value.reason
        assert str(value) == value.reason


@given(text=CELLS)
def test_looking_at_a_cell_raises_nothing(text):
    assert might_be_electronic(text) in (True, False)
    assert might_be_metal(text) in (True, False)
    assert is_missing(text) in (True, False)
    assert find_unit(text) in (None, WeightUnit.LB, WeightUnit.KG)
    assert infer_order([text]).count in (0, 1)
    assert strip_guards(strip_guards(text)) == strip_guards(text)
    assert "  " not in fold(text)


@given(text=CELLS)
def test_what_reads_as_electronic_also_looks_electronic(text):
    try:
        read_electronic(text)
    except Unreadable:
        return
    assert might_be_electronic(text)
