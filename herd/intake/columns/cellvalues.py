"""One cell of each kind as plain JSON values, by the rules of the values room."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, timezone
from functools import partial
from typing import Any
from zoneinfo import ZoneInfo

from herd.intake.columns.answers import read_status
from herd.values.bodycondition import read_body_condition
from herd.values.cells import strip_guards, strip_scanner_prefix
from herd.values.classes import read_class
from herd.values.clock import read_time
from herd.values.colours import read_coat, read_colour
from herd.values.damage import is_scientific, looks_like_date, refuse_spreadsheet_marks
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.fielddates import DatePrecision, DayOrder, FieldDate, read_date
from herd.values.lengths import LengthUnit, read_length, usual_unit
from herd.values.mass import WeightUnit
from herd.values.metal import might_be_metal, read_metal
from herd.values.problems import Caution, Unreadable, shown
from herd.values.tubes import read_tube
from herd.values.visual import read_visual
from herd.values.weights import read_weight
from herd.values.yearletters import years_for

Value = tuple[dict[str, Any], tuple[Caution, ...]]
"""What a cell gives: readings by key, and cautions."""

LONGEST_CELL = 300
"""Longer cells hold no value of any kind but a note; reading them with patterns would take too long."""

_LONGEST_TEXT = 200
_LONGEST_NUMBER = 20
_LONGEST_NOTE = 2000
_YEAR_LETTER_SPAN = 21


@dataclass(frozen=True, slots=True)
class ColumnContext:
    """What reading a cell needs to know of its column and file.

    `order` is that of day and month in the column, None when it is not known or mixed; `unit` is the one for
    weights without their own.
    """

    settings: dict[str, Any]
    today: date
    zone: ZoneInfo
    unit: WeightUnit
    order: DayOrder | None


def context_of(settings: dict[str, Any], *, default_unit: WeightUnit, today: date, zone: ZoneInfo) -> ColumnContext:
    """The context of a column with these settings; raises ValueError for an order or unit that is none."""
    order = settings.get("order")
    return ColumnContext(
        settings,
        today,
        zone,
        WeightUnit(settings.get("unit") or default_unit),
        DayOrder(order) if order and not settings.get("mixed") else None,
    )


def read_day(text: str, context: ColumnContext) -> FieldDate:
    """The date in a cell in the outfit's own time, moved there when it was written with an offset."""
    read = read_date(text, context.order, today=context.today)
    if read.offset is None or read.at is None:
        return read
    written = datetime.combine(read.day, read.at, timezone(timedelta(minutes=read.offset)))
    local = written.astimezone(context.zone)
    return FieldDate(local.date(), DatePrecision.INSTANT, local.time())


def refuse_long(text: str) -> None:
    """Raises Unreadable for a cell longer than any value."""
    if len(text) > LONGEST_CELL:
        raise Unreadable(text, "too_long", f"{shown(text)} has {len(text)} characters, too many for a value.")


def whole_day(text: str, context: ColumnContext) -> str:
    """The day in a cell as ISO 8601; raises Unreadable also where only a month or a year is written."""
    read = read_day(text, context)
    if read.precision not in (DatePrecision.DAY, DatePrecision.INSTANT):
        raise Unreadable(text, "no_day", f"{shown(text)} names no day, only a month or a year.")
    return read.day.isoformat()


def plain_text(text: str, longest: int = _LONGEST_TEXT) -> str:
    """The text of a cell on one line; raises Unreadable for spreadsheet errors and texts too long to keep."""
    inner = " ".join(strip_guards(text).split())
    refuse_spreadsheet_marks(inner)
    if len(inner) > longest:
        reason = f"{shown(inner)} is longer than the {longest} characters kept here."
        raise Unreadable(text, "too_long", reason)
    return inner


def whole_days(text: str) -> int:
    """A number of whole days, 0 to 1,000, with or without the word; raises Unreadable."""
    parts = re.fullmatch(r"([0-9]{1,4})(?:[.,]0+)?(?: ?(?:d|days?|dias?|jours?|tage?))?\.?", plain_text(text).lower())
    if not parts or int(parts[1]) > 1000:
        raise Unreadable(text, "not_days", f"{shown(text)} is not a number of days.")
    return int(parts[1])


def marked_number(text: str) -> str:
    """A tattoo, brand or back tag in upper case; raises Unreadable for what a spreadsheet has damaged."""
    number = strip_scanner_prefix(plain_text(text, _LONGEST_TEXT)).upper()
    if looks_like_date(number) or is_scientific(number):
        reason = f"{shown(text)} was changed by a spreadsheet; export the column as text."
        raise Unreadable(text, "spreadsheet_damaged", reason)
    if len(number) > _LONGEST_NUMBER:
        raise Unreadable(text, "too_long", f"{shown(text)} is longer than {_LONGEST_NUMBER} characters.")
    return number


def relative_number(text: str) -> dict[str, str]:
    """The number of a dam, sire or calf: {"kind": "eid" | "vid", "number", "colour"}; raises Unreadable."""
    if might_be_electronic(text):
        return {"kind": "eid", "number": read_electronic(text).number.digits, "colour": ""}
    if might_be_metal(text):
        return {"kind": "vid", "number": read_metal(text).number, "colour": ""}
    tag = read_visual(text)
    return {"kind": "vid", "number": tag.number, "colour": tag.colour}


def read_weighing(text: str, context: ColumnContext, unit: WeightUnit | None) -> Value:
    """One weight as {"entered", "unit", "ng", "purpose"}; `unit` is that of the row's own unit column."""
    mark = context.settings.get("decimal_mark") or "."
    read = read_weight(text, unit or context.unit, decimal_mark=mark)
    weight, entered = read.weight, read.weight.entered
    if any(caution.code == "hundredweight" for caution in read.cautions):
        entered = entered.normalize()
    found = {
        "entered": format(entered, "f"),
        "unit": str(weight.unit),
        "ng": weight.nanograms,
        "purpose": context.settings.get("purpose") or "",
    }
    return found, read.cautions


def _eid(text: str, context: ColumnContext) -> Value:
    read = read_electronic(text)
    return {"eid": read.number.digits}, read.cautions


def _new_eid(text: str, context: ColumnContext) -> Value:
    read = read_electronic(text)
    return {"new_eid": read.number.digits}, read.cautions


def _vid(text: str, context: ColumnContext) -> Value:
    tag = read_visual(text)
    return ({"vid": tag.number, "vid_colour": tag.colour} if tag.colour else {"vid": tag.number}), ()


def _new_vid(text: str, context: ColumnContext) -> Value:
    tag = read_visual(text)
    found = {"new_vid": tag.number}
    return (found | {"new_vid_colour": tag.colour} if tag.colour else found), ()


def _metal(text: str, context: ColumnContext) -> Value:
    read = read_metal(text)
    return {"metal": read.number}, read.cautions


def _when(text: str, context: ColumnContext) -> Value:
    read = read_day(text, context)
    found: dict[str, Any] = {"day": read.day.isoformat(), "day_precision": str(read.precision)}
    if read.at is not None:
        found["time"] = _clock(read.at)
    return found, ()


def _time(text: str, context: ColumnContext) -> Value:
    if any(mark in text for mark in "/-.") and ":" in text:
        try:
            return _when(text, context)
        except Unreadable:
            return {"time": _clock(read_time(text))}, ()
    return {"time": _clock(read_time(text))}, ()


def _clock(at: time) -> str:
    return at.isoformat(timespec="seconds")


def _class(text: str, context: ColumnContext) -> Value:
    read = read_class(text)
    named = str(read.animal_class) if read.animal_class else None
    return {"animal_class": {"class": named, "sex": str(read.sex) if read.sex else None, "calf": read.is_calf}}, ()


def _born(text: str, context: ColumnContext) -> Value:
    read = read_day(text, context)
    precision = "day" if read.precision is DatePrecision.INSTANT else str(read.precision)
    return {"born": {"on": read.day.isoformat(), "precision": precision}}, ()


def _entered(text: str, context: ColumnContext) -> Value:
    read = read_day(text, context)
    cautions: tuple[Caution, ...] = ()
    if read.precision not in (DatePrecision.DAY, DatePrecision.INSTANT):
        said = f"{shown(text)} names no day; the first day of the {read.precision} was taken."
        cautions = (Caution("no_day", said),)
    return {"entered": read.day.isoformat()}, cautions


def _issuer_year(text: str, context: ColumnContext) -> Value:
    inner = plain_text(text)
    if re.fullmatch(r"(?:19|20)[0-9]{2}", inner):
        return {"issuer_year": int(inner)}, ()
    last = context.today.year
    if re.fullmatch(r"[0-9]{2}", inner):
        year = last - last % 100 + int(inner)
        return {"issuer_year": year if year <= last + 1 else year - 100}, ()
    if len(inner) != 1:
        raise Unreadable(text, "not_year", f"{shown(text)} is neither a year nor a year letter.")
    return {"issuer_year": years_for(inner, last - _YEAR_LETTER_SPAN, last)[-1]}, ()


def _length(kind: str, key: str, text: str, context: ColumnContext) -> Value:
    named = context.settings.get("length_unit")
    return {kind: str(read_length(text, key, LengthUnit(named) if named else usual_unit(key, context.unit)))}, ()


def _text_of(kind: str) -> Callable[[str, ColumnContext], Value]:
    longest = _LONGEST_NOTE if kind == "note" else _LONGEST_TEXT
    return lambda text, context: ({kind: plain_text(text, longest)}, ())


CELL_READERS: dict[str, Callable[[str, ColumnContext], Value]] = {
    "eid": _eid,
    "vid": _vid,
    "vid_colour": lambda text, context: ({"vid_colour": read_colour(text)}, ()),
    "metal": _metal,
    "tattoo": lambda text, context: ({"tattoo": marked_number(text)}, ()),
    "brand": lambda text, context: ({"brand": marked_number(text)}, ()),
    "back_tag": lambda text, context: ({"back_tag": marked_number(text)}, ()),
    "tube": lambda text, context: ({"tube": read_tube(text)}, ()),
    "new_eid": _new_eid,
    "new_vid": _new_vid,
    "dam": lambda text, context: ({"dam": relative_number(text)}, ()),
    "sire": lambda text, context: ({"sire": relative_number(text)}, ()),
    "calf": lambda text, context: ({"calf": relative_number(text)}, ()),
    "date": _when,
    "date_time": _when,
    "time": _time,
    "animal_class": _class,
    "born": _born,
    "entered": _entered,
    "breed": _text_of("breed"),
    "coat": lambda text, context: ({"coat": read_coat(text)}, ()),
    "origin": _text_of("origin"),
    "group": _text_of("group"),
    "location": _text_of("location"),
    "status": lambda text, context: ({"status": {"word": plain_text(text), "status": read_status(text)}}, ()),
    "issuer_year": _issuer_year,
    "hip_height": partial(_length, "hip_height", "height"),
    "scrotal": partial(_length, "scrotal", "circumference"),
    "body_condition": lambda text, context: ({"body_condition": str(read_body_condition(text))}, ()),
}
"""The kinds whose cell is read by itself; the others are read together with cells beside them."""
