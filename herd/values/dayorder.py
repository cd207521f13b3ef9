"""Deciding from a whole column whether the day or the month is written first."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from herd.values.calendardays import DayOrder
from herd.values.cells import strip_guards

_THREE_NUMBERS = re.compile(r"([0-9]{1,4})([/.\- ])([0-9]{1,2})\2([0-9]{1,4})(?:[T ,].*)?")


@dataclass(frozen=True, slots=True)
class OrderEvidence:
    """What a column says about its order.

    `order` is None when nothing proves one or when the cells contradict each other (`mixed`). `proved_by` and
    `against` are the first cells that prove the order and that contradict it. `ambiguous` counts the cells
    that fit several orders, `count` all cells written as three numbers.
    """

    order: DayOrder | None
    proved_by: str | None
    against: str | None
    mixed: bool
    ambiguous: int
    count: int


def infer_order(texts: Iterable[str]) -> OrderEvidence:
    """The order proved by the cells of one column; cells that are not three numbers are passed over.

    A first number over 12 with a second of at most 12 proves day first, the other way round month first. A
    cell that starts with a four-digit year fits every column and proves year first only if no other cell says
    more.
    """
    proofs: dict[DayOrder, str] = {}
    ambiguous = count = 0
    for text in texts:
        parts = _THREE_NUMBERS.fullmatch(strip_guards(text))
        if not parts:
            continue
        count += 1
        order = _proved(parts[1], parts[3], parts[4], parts[2])
        if order is None:
            ambiguous += parts[1] != parts[3]
        else:
            proofs.setdefault(order, text)
    return _judged(proofs, ambiguous, count)


def _judged(proofs: dict[DayOrder, str], ambiguous: int, count: int) -> OrderEvidence:
    days_first, months_first = proofs.get(DayOrder.DMY), proofs.get(DayOrder.MDY)
    if days_first is not None and months_first is not None:
        return OrderEvidence(None, days_first, months_first, mixed=True, ambiguous=ambiguous, count=count)
    for order in (DayOrder.DMY, DayOrder.MDY):
        if order in proofs:
            return OrderEvidence(order, proofs[order], None, mixed=False, ambiguous=ambiguous, count=count)
    years_first = proofs.get(DayOrder.YMD)
    # Year-first cells beside undecided ones prove nothing about the undecided ones.
    order_found = DayOrder.YMD if years_first is not None and not ambiguous else None
    return OrderEvidence(order_found, years_first, None, mixed=False, ambiguous=ambiguous, count=count)


def _proved(first: str, second: str, third: str, separator: str) -> DayOrder | None:
    if len(first) == 4 or int(first) > 31:
        return DayOrder.YMD
    if may_start_with_year(first, second, third, separator):
        return None
    if 12 < int(first) <= 31 and 1 <= int(second) <= 12:
        return DayOrder.DMY
    if 12 < int(second) <= 31 and 1 <= int(first) <= 12:
        return DayOrder.MDY
    return None


def may_start_with_year(first: str, second: str, third: str, separator: str) -> bool:
    """Whether three two-digit numbers joined by hyphens could be year, month and day."""
    if separator != "-" or (len(first), len(second), len(third)) != (2, 2, 2):
        return False
    return 1 <= int(second) <= 12 and 1 <= int(third) <= 31
