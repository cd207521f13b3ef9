"""The order of day and month in a column of dates: proved by its cells, or by the day that was worked."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from herd.values.dayorder import OrderEvidence, infer_order
from herd.values.fielddates import DayOrder, read_date
from herd.values.problems import Unreadable, shown

ORDER_WORDS = {"DMY": "day first", "MDY": "month first", "YMD": "year first"}
_NEAR = timedelta(days=3)


def order_of_dates(column_cells: Iterable[str], worked_on: date | None, today: date) -> dict[str, Any]:
    """The settings of a column of dates: {"order", "mixed", "proved_by", "against", "reason"}.

    The cells alone decide where they prove an order. Where they prove none, an order is taken when under it,
    and it alone, every date lies within three days of `worked_on`.
    """
    cells = list(dict.fromkeys(column_cells))
    evidence = infer_order(cells)
    found = {
        "order": str(evidence.order) if evidence.order else None,
        "mixed": evidence.mixed,
        "proved_by": evidence.proved_by,
        "against": evidence.against,
        "reason": _reason(evidence),
    }
    if evidence.order is None and not evidence.mixed and evidence.ambiguous and worked_on is not None:
        fitting = [order for order in DayOrder if _all_near(cells, order, worked_on, today)]
        if len(fitting) == 1:
            words = ORDER_WORDS[fitting[0]]
            found["order"] = str(fitting[0])
            found["reason"] = f"Only read {words} do all dates lie within three days of {worked_on.isoformat()}."
    return found


def _reason(evidence: OrderEvidence) -> str:
    if evidence.mixed:
        first, second = shown(evidence.proved_by or ""), shown(evidence.against or "")
        return f"Both orders stand in this column: {first} is day first and {second} is month first."
    if evidence.order is not None:
        return f"Dates are {ORDER_WORDS[evidence.order]}: {shown(evidence.proved_by or '')} proves it."
    if evidence.ambiguous:
        return "No cell proves whether the day or the month comes first."
    return ""


def _all_near(cells: list[str], order: DayOrder, worked_on: date, today: date) -> bool:
    read = [_day(cell, order, today) for cell in cells if infer_order([cell]).count]
    return bool(read) and all(day is not None and abs(day - worked_on) <= _NEAR for day in read)


def _day(cell: str, order: DayOrder, today: date) -> date | None:
    try:
        return read_date(cell, order, today=today).day
    except Unreadable:
        return None
