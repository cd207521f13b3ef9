"""Dates from the field: every order, words and digits, serial numbers, and the evidence of a whole column."""

from datetime import date, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herd.values.fielddates import DatePrecision, DayOrder, FieldDate, infer_order, read_date, read_time
from herd.values.problems import Unreadable

TODAY = date(2026, 6, 1)
DMY, MDY, YMD = DayOrder.DMY, DayOrder.MDY, DayOrder.YMD
DAYS = st.dates(date(1900, 1, 1), date(2028, 5, 1))
FORMATS = {DMY: "%d/%m/%Y", MDY: "%m/%d/%Y", YMD: "%Y/%m/%d"}


def refusal(text, order=None, **settings):
    with pytest.raises(Unreadable) as refused:
        read_date(text, order, today=TODAY, **settings)
    return refused.value.code


@given(day=DAYS, order=st.sampled_from(DayOrder), separator=st.sampled_from("/.- "))
def test_day_written_in_any_order_comes_back(day, order, separator):
    written = day.strftime(FORMATS[order]).replace("/", separator)
    assert read_date(written, order, today=TODAY) == FieldDate(day, DatePrecision.DAY)


@given(day=st.dates(date(1927, 7, 1), date(2027, 6, 1)), order=st.sampled_from([DMY, MDY]))
def test_two_digit_year_lies_at_most_a_year_ahead(day, order):
    written = day.strftime(FORMATS[order].replace("%Y", "%y"))
    assert read_date(written, order, today=TODAY).day == day


@given(day=DAYS)
def test_iso_day_needs_no_order(day):
    assert read_date(day.isoformat(), None, today=TODAY).day == day
    assert read_date(day.strftime("%Y%m%d"), DMY, today=TODAY).day == day
    assert read_date(day.strftime("%d %b %Y"), None, today=TODAY).day == day
    assert read_date(day.strftime("%B %d, %Y"), None, today=TODAY).day == day


@given(day=DAYS)
def test_day_without_known_order_is_right_or_called_ambiguous(day):
    written = day.strftime("%d/%m/%Y")
    if day.day <= 12 and day.day != day.month:
        assert refusal(written) == "ambiguous_order"
    else:
        assert read_date(written, None, today=TODAY).day == day


@given(serial=st.integers(20000, 46000))
def test_serial_numbers_count_days_in_both_date_systems(serial):
    # Two date systems of ECMA-376: day 1 is 1900-01-01 (with its false leap day), day 0 is 1904-01-01.
    assert read_date(str(serial), None, today=TODAY).day == date(1899, 12, 30) + timedelta(days=serial)
    later = date(1904, 1, 1) + timedelta(days=serial)
    if later <= TODAY:
        assert read_date(str(serial), None, today=TODAY, serial_epoch=1904).day == later
    assert refusal(str(serial), serial_epoch=None) == "not_date"


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("2026-03-15T07:05:33Z", FieldDate(date(2026, 3, 15), DatePrecision.INSTANT, time(7, 5, 33), 0)),
        ("2026-03-15 07:05+02:00", FieldDate(date(2026, 3, 15), DatePrecision.INSTANT, time(7, 5), 120)),
        ("2026-03-15T07:05-0530", FieldDate(date(2026, 3, 15), DatePrecision.INSTANT, time(7, 5), -330)),
        ("3/14/2026 7:05 PM", FieldDate(date(2026, 3, 14), DatePrecision.INSTANT, time(19, 5))),
        ("46096.5", FieldDate(date(2026, 3, 15), DatePrecision.INSTANT, time(12))),
        ("46096", FieldDate(date(2026, 3, 15), DatePrecision.DAY)),
        ("2026-03-15 00:00:00", FieldDate(date(2026, 3, 15), DatePrecision.DAY)),
        ("14-3-26", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("14.03.2026", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("14-Mar-26", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("14th March 2026", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("14 de marzo de 2026", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("1er août 2025", FieldDate(date(2025, 8, 1), DatePrecision.DAY)),
        ("14. März 2026", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("14 de março de 2026", FieldDate(date(2026, 3, 14), DatePrecision.DAY)),
        ("Mar-2026", FieldDate(date(2026, 3, 1), DatePrecision.MONTH)),
        ("2026-03", FieldDate(date(2026, 3, 1), DatePrecision.MONTH)),
        ("2026", FieldDate(date(2026, 1, 1), DatePrecision.YEAR)),
        ("3/14/30", FieldDate(date(1930, 3, 14), DatePrecision.DAY)),
    ],
)
def test_date_is_read(written, expected):
    assert read_date(written, None, today=TODAY) == expected


@pytest.mark.parametrize(
    ("written", "order", "code"),
    [
        ("", None, "empty"),
        ("3/4/2026", None, "ambiguous_order"),
        ("26-03-14", None, "ambiguous_order"),
        ("07/01/2028", None, "ambiguous_order"),
        ("31/2/2026", None, "impossible"),
        ("14/3/2026", MDY, "impossible"),
        ("2026-13-01", None, "impossible"),
        ("20261301", None, "impossible"),
        ("2026-03-15 25:00", None, "impossible"),
        ("Mar-15", None, "no_year"),
        ("15-Mar", None, "no_year"),
        ("3/14/2062", None, "out_of_range"),
        ("14/3/1826", None, "out_of_range"),
        ("4.60E+04", None, "spreadsheet_damaged"),
        ("########", None, "column_too_narrow"),
        ("#VALUE!", None, "spreadsheet_error"),
        ("spring", None, "not_date"),
        ("3/14/202", None, "not_date"),
        ("March 2026 7:05", None, "no_day"),
    ],
)
def test_date_is_refused_with_a_reason(written, order, code):
    assert refusal(written, order) == code


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("7:05", time(7, 5)),
        ("07:05:33", time(7, 5, 33)),
        ("7:05 AM", time(7, 5)),
        ("12:05 a.m.", time(0, 5)),
        ("12:05PM", time(12, 5)),
        ("07:05:33.250", time(7, 5, 33, 250_000)),
    ],
)
def test_time_is_read(written, expected):
    assert read_time(written) == expected


@pytest.mark.parametrize("written", ["24:00", "13:05 PM", "7.05", "7:60", "noon", "07:05+25:00"])
def test_time_is_refused(written):
    with pytest.raises(Unreadable):
        read_time(written)


def test_one_cell_over_twelve_decides_the_column():
    evidence = infer_order(["3/4/2026", "5/5/2026", "14/3/2026", "sold", ""])
    assert (evidence.order, evidence.proved_by) == (DMY, "14/3/2026")
    assert (evidence.ambiguous, evidence.count, evidence.mixed) == (1, 3, False)
    assert infer_order(["3/14/2026 7:05", "3/4/2026"]).order is MDY


def test_column_that_contradicts_itself_is_mixed():
    evidence = infer_order(["3/14/2026", "14/3/2026"])
    assert (evidence.order, evidence.mixed) == (None, True)
    assert {evidence.proved_by, evidence.against} == {"3/14/2026", "14/3/2026"}


def test_column_without_proof_has_no_order():
    evidence = infer_order(["3/4/2026", "5/6/2026"])
    assert (evidence.order, evidence.ambiguous) == (None, 2)
    assert infer_order([]).order is None
    assert infer_order(["2026-03-04", "3/4/2026"]).order is None
    assert infer_order(["2026-03-04", "2026-05-06"]).order is YMD


@given(
    days=st.lists(st.dates(date(2000, 1, 1), date(2026, 1, 1)), max_size=8), order=st.sampled_from([DMY, MDY])
)
def test_a_column_in_one_order_never_proves_another(days, order):
    evidence = infer_order(day.strftime(FORMATS[order]) for day in days)
    assert evidence.order in (order, None)
    assert evidence.count == len(days)
