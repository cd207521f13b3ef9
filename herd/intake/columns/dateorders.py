"""The order of day and month in a column of dates: proved by its cells, or by the day that was worked."""

from collections import Counter
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from herd.values.dayorder import OrderEvidence, infer_order
from herd.values.fielddates import DayOrder, read_date
from herd.values.problems import Unreadable, shown

ORDER_WORDS = {"DMY": "day first", "MDY": "month first", "YMD": "year first"}
_NEAR = timedelta(days=3)
MOST_FIT = 0.9


def order_of_dates(column_cells: Iterable[str], worked_on: date | None, today: date) -> dict[str, Any]:
    """The settings of a column of dates: {"order", "mixed", "proved_by", "against", "reason"}.

    The cells alone decide where they prove an order. Where they prove none, or contradict each other, an order
    is taken when under it, and it alone, nine of ten dates lie within three days of `worked_on`. The few that
    do not fit are then refused or asked about one by one.
    """
    counts = Counter(column_cells)
    cells = list(counts)
    evidence = infer_order(cells)
    found = {
        "order": str(evidence.order) if evidence.order else None,
        "mixed": evidence.mixed,
        "proved_by": evidence.proved_by,
        "against": evidence.against,
        "reason": _reason(evidence),
    }
    if evidence.order is None and (evidence.mixed or evidence.ambiguous) and worked_on is not None:
        orders = (DayOrder.DMY, DayOrder.MDY) if evidence.mixed else tuple(DayOrder)
        fitting = [order for order in orders if _share_near(counts, order, worked_on, today) >= MOST_FIT]
        if len(fitting) == 1:
            words = ORDER_WORDS[fitting[0]]
            found["order"], found["mixed"] = str(fitting[0]), False
            found["reason"] = f"Only read {words} do the dates lie within three days of {worked_on}."
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


def _share_near(counts: Counter[str], order: DayOrder, worked_on: date, today: date) -> float:
    """The share of the dates written as three numbers that, read in this order, lie near the day of the work."""
    near = total = 0
    for cell, count in counts.items():
        if infer_order([cell]).count:
            day = _day(cell, order, today)
            total += count
            near += count if day is not None and abs(day - worked_on) <= _NEAR else 0
    return near / total if total else 0.0


def _day(cell: str, order: DayOrder, today: date) -> date | None:
    try:
        return read_date(cell, order, today=today).day
    except Unreadable:
        return None
