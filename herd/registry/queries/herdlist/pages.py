"""Pages of the herd list by key: each begins where the last one ended, however large the herd."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from herd.accounts.models import Outfit
from herd.registry.queries.herdlist.filters import matching
from herd.registry.queries.herdlist.question import Question
from herd.registry.queries.herdlist.sorts import Stretches, stretches_of

A_PAGE = 100
GAP = "~"


@dataclass(frozen=True, slots=True)
class Page:
    """Animals in the question's order, with the marks that `page_of` takes for the pages around it, or empty."""

    ids: list[UUID]
    next: str = ""
    previous: str = ""


@dataclass(frozen=True, slots=True)
class _Found:
    """One row of a stretch. `place` is None behind those that have what is sorted by."""

    row: UUID
    place: Any
    owner: UUID

    @property
    def mark(self) -> str:
        return str(self.row) if self.place is None else f"{self.row}{GAP}{self.place}"


@dataclass(frozen=True, slots=True)
class _Mark:
    """Where a page begins or ends."""

    row: UUID
    place: str | None


def page_of(outfit: Outfit, question: Question, *, after: str = "", before: str = "", size: int = A_PAGE) -> Page:
    """The animals behind the mark `after`, or else just before the mark `before`; what is no mark is passed over."""
    mark, end = _read(after), _read(before)
    is_backwards = mark is None and end is not None
    mark = mark or end
    stretches = stretches_of(outfit, question)
    try:
        found = list(_walk(stretches, question, mark, is_backwards=is_backwards, most=size + 1))
    except (ValidationError, ValueError):
        # The mark belongs to another order.
        mark, is_backwards = None, False
        found = list(_walk(stretches, question, None, is_backwards=False, most=size + 1))
    has_more, shown = len(found) > size, found[:size]
    if is_backwards:
        shown.reverse()
    if not shown:
        return Page([])
    has_next, has_previous = (True, has_more) if is_backwards else (has_more, mark is not None)
    return Page(
        [one.owner for one in shown],
        next=shown[-1].mark if has_next else "",
        previous=shown[0].mark if has_previous else "",
    )


def ids_of(outfit: Outfit, question: Question) -> list[UUID]:
    """All animals that answer a question, in its order."""
    stretches = stretches_of(outfit, question)
    return [one.owner for one in _walk(stretches, question, None, is_backwards=False, most=None)]


def count_of(outfit: Outfit, question: Question) -> int:
    """How many animals answer a question; it looks at each, so ask it only on demand."""
    return matching(outfit, question).count()


def _walk(
    stretches: Stretches, question: Question, mark: _Mark | None, *, is_backwards: bool, most: int | None
) -> Iterator[_Found]:
    """Rows of both stretches behind the mark, or before it and the nearest first."""
    order = [False, True] if is_backwards else [True, False]
    if mark is not None:
        order = order[order.index(mark.place is not None) :]
    left = most
    for is_placed in order:
        found = 0
        is_falling = (question.is_falling and is_placed) != is_backwards
        for one in _stretch(stretches, mark, is_placed=is_placed, is_falling=is_falling, most=left):
            found += 1
            yield one
        mark = None
        left = None if left is None else left - found
        if left is not None and left <= 0:
            return


def _stretch(
    stretches: Stretches, mark: _Mark | None, *, is_placed: bool, is_falling: bool, most: int | None
) -> Iterator[_Found]:
    rows: QuerySet[Any] = stretches.placed if is_placed else stretches.rest
    names = ("place", "pk") if is_placed else ("pk",)
    if mark is not None:
        rows = rows.filter(_beyond(mark, is_placed=is_placed, is_falling=is_falling))
    rows = rows.order_by(*(f"-{name}" if is_falling else name for name in names))
    cut = rows if most is None else rows[:most]
    if is_placed:
        for row, place, owner in cut.values_list("pk", "place", "owner"):
            yield _Found(row, place, owner)
    else:
        for row in cut.values_list("pk", flat=True):
            yield _Found(row, None, row)


def _beyond(mark: _Mark, *, is_placed: bool, is_falling: bool) -> Q:
    """What lies behind the mark; the first half alone tells an index where to begin."""
    side = "lt" if is_falling else "gt"
    if not is_placed:
        return Q(**{f"pk__{side}": mark.row})
    further = Q(**{f"place__{side}": mark.place}) | Q(place=mark.place, **{f"pk__{side}": mark.row})
    return Q(**{f"place__{side}e": mark.place}) & further


def _read(text: str) -> _Mark | None:
    row, gap, place = text.partition(GAP)
    try:
        return None if "\x00" in text else _Mark(UUID(row), place if gap else None)
    except ValueError:
        return None
