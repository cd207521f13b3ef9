"""Reading dates as they come from the field: any order, words or digits, serial numbers, with a time."""

import re
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from herd.values.calendardays import DatePrecision, DayOrder, FieldDate
from herd.values.cells import fold, is_missing, strip_guards
from herd.values.clock import TimeOfDay, read_time, read_time_of_day
from herd.values.damage import is_scientific, refuse_spreadsheet_marks
from herd.values.datewords import checked_day, full_year, in_reach, read_partial
from herd.values.dayorder import OrderEvidence, infer_order, may_start_with_year
from herd.values.problems import Unreadable, shown

__all__ = ["DatePrecision", "DayOrder", "FieldDate", "OrderEvidence", "infer_order", "read_date", "read_time"]

_WITH_TIME = re.compile(r"(.*?[0-9])(?:[t ,]+)([0-9]{1,2}:[0-9]{2}.*)")
_NUMBERS = re.compile(r"([0-9]{1,4})([/.\- ])([0-9]{1,2})\2([0-9]{1,4})")
_COMPACT = re.compile(r"((?:19|20)[0-9]{2})([0-9]{2})([0-9]{2})")
_SERIAL = re.compile(r"([2-5][0-9]{4})(?:[.,]([0-9]{1,15}))?")
_EPOCHS = {1900: datetime(1899, 12, 30), 1904: datetime(1904, 1, 1)}  # noqa: DTZ001
_ORDER_WORDS = {DayOrder.DMY: "day first", DayOrder.MDY: "month first", DayOrder.YMD: "year first"}


def read_date(
    text: str, order: DayOrder | None, *, today: date, serial_epoch: int | None = 1900
) -> FieldDate:
    """The date in a cell; raises Unreadable.

    `order` is the column's order, None when unknown: then a date that could be two days is refused as
    "ambiguous_order". A date with another order than the column's is refused, never turned round. Two-digit
    years lie at most one year ahead of `today`. Numbers from 20000 to 59999 count days from `serial_epoch`
    (1900 or 1904, the two date systems of ECMA-376), or are refused when it is None. Midnight without an
    offset is how spreadsheets write a date without a time, so it gives a whole day.
    """
    inner = strip_guards(text)
    if is_missing(inner):
        raise Unreadable(text, "empty", "The date is empty.")
    refuse_spreadsheet_marks(inner)
    if is_scientific(inner):
        raise Unreadable(
            text, "spreadsheet_damaged", f"{shown(text)} is a number a spreadsheet made of a date."
        )
    written = fold(inner)
    split = _WITH_TIME.fullmatch(written)
    if split:
        return _at(_day(text, split[1], order, today), _time_beside(text, split[2]))
    serial = _SERIAL.fullmatch(written)
    if serial:
        return _serial_date(text, serial, serial_epoch, today)
    return _day(text, written, order, today)


def _day(text: str, written: str, order: DayOrder | None, today: date) -> FieldDate:
    compact = _COMPACT.fullmatch(written)
    if compact:
        parts = (int(compact[1]), int(compact[2]), int(compact[3]))
        return FieldDate(checked_day(text, parts, today), DatePrecision.DAY)
    numbers = _NUMBERS.fullmatch(written)
    if numbers:
        return FieldDate(_numeric_day(text, numbers, order, today), DatePrecision.DAY)
    partial = read_partial(text, written, today)
    if partial is None:
        raise Unreadable(text, "not_date", f"{shown(text)} is not a date.")
    return partial


def _numeric_day(text: str, numbers: re.Match[str], order: DayOrder | None, today: date) -> date:
    first, separator, second, third = numbers.groups()
    if len(first) == 4:
        return checked_day(text, (int(first), int(second), int(third)), today)
    if len(third) not in (2, 4) or len(first) == 3:
        raise Unreadable(
            text, "not_date", f"{shown(text)} is not a date: its year has neither two nor four digits."
        )
    if order is DayOrder.YMD and len(third) == 4:
        order = None
    if order is not None:
        return _in_order(text, (first, second, third), order, today)
    orders = [DayOrder.DMY, DayOrder.MDY]
    if may_start_with_year(first, second, third, separator):
        orders.append(DayOrder.YMD)
    return _in_only_order(text, (first, second, third), orders, today)


def _in_only_order(text: str, parts: tuple[str, str, str], orders: list[DayOrder], today: date) -> date:
    days, refusals = set(), []
    for order in orders:
        try:
            days.add(_in_order(text, parts, order, today))
        except Unreadable as refusal:
            refusals.append(refusal)
    # A day out of reach is still a reading of the digits, so it does not prove the other order.
    out_of_reach = [refusal for refusal in refusals if refusal.code == "out_of_range"]
    if not days:
        reason = f"{shown(text)} is not a day in any calendar."
        raise out_of_reach[0] if out_of_reach else Unreadable(text, "impossible", reason)
    if len(days) + len(out_of_reach) > 1:
        choices = " or ".join(_ORDER_WORDS[order] for order in orders)
        raise Unreadable(text, "ambiguous_order", f"{shown(text)} could be read {choices}.")
    return days.pop()


def _in_order(text: str, parts: tuple[str, str, str], order: DayOrder, today: date) -> date:
    first, second, third = parts
    day, month, year = {
        DayOrder.DMY: (first, second, third),
        DayOrder.MDY: (second, first, third),
        DayOrder.YMD: (third, second, first),
    }[order]
    if len(year) == 1 or not 1 <= int(month) <= 12:
        reason = f"{shown(text)} is no date when the column is read {_ORDER_WORDS[order]}."
        raise Unreadable(text, "impossible", reason)
    return checked_day(text, (full_year(year, int(month), int(day), today), int(month), int(day)), today)


def _time_beside(text: str, written: str) -> TimeOfDay:
    try:
        return read_time_of_day(written)
    except Unreadable as refusal:
        raise Unreadable(text, refusal.code, f"The time in {shown(text)} cannot be read.") from None


def _at(day: FieldDate, clock: TimeOfDay) -> FieldDate:
    if clock.offset is None and clock.at == time():
        return day
    if day.precision is not DatePrecision.DAY:
        raise Unreadable(str(clock.at), "no_day", f"The time {clock.at} stands beside no whole day.")
    return replace(day, precision=DatePrecision.INSTANT, at=clock.at, offset=clock.offset)


def _serial_date(text: str, serial: re.Match[str], epoch: int | None, today: date) -> FieldDate:
    if epoch not in _EPOCHS:
        raise Unreadable(text, "not_date", f"{shown(text)} is a plain number, not a date.")
    seconds = round(float(f"0.{serial[2] or 0}") * 86_400)
    moment = _EPOCHS[epoch] + timedelta(days=int(serial[1]), seconds=seconds)
    day = FieldDate(in_reach(text, moment.date(), today), DatePrecision.DAY)
    return _at(day, TimeOfDay(moment.time()))
