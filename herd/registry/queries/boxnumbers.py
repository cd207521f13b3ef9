"""The numbers of one box, one after the other: who wears each, which are missing, which are free."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from herd.registry.models import MissingTag, TagBox, TagWearing
from herd.registry.queries.stock import free_values, missing_in, run_of, wearings_in

STEP = 500


class Show(StrEnum):
    """Which of a box's numbers are asked for."""

    ALL = "all"
    FREE = "free"
    USED = "used"
    MISSING = "missing"


@dataclass(frozen=True, slots=True)
class NumberLine:
    """One number: the wearing that is open or was the last, and the mark that it is missing."""

    number: str
    wearing: TagWearing | None
    missing: MissingTag | None


def number_lines(box: TagBox, show: Show) -> Iterator[NumberLine]:
    """Yield all the lines asked for, in flat memory."""
    after = ""
    while True:
        page = number_page(box, show, after, STEP)
        yield from page
        if len(page) < STEP:
            return
        after = page[-1].number


def number_page(box: TagBox, show: Show, after: str, count: int) -> list[NumberLine]:
    """Return at most `count` lines after a number of the box, from its start where that is none, in three queries."""
    run = run_of(box)
    value = run.value_of(after)
    values = list(islice(_values(box, show, value), count))
    if not values:
        return []
    piece = run.part(values[0], values[-1])
    wearings = wearings_in(box.outfit, box, piece).select_related("tag")
    # The open one, or else the last, is what remains under a number.
    rows = sorted(wearings, key=lambda one: (one.is_open, str(one.worn_to or "")))
    worn = {row.tag.number: row for row in rows}
    marks = {mark.number: mark for mark in missing_in(box, piece)}
    return [NumberLine(number, worn.get(number), marks.get(number)) for number in map(run.number, values)]


def _values(box: TagBox, show: Show, after: int | None) -> Iterator[int]:
    run = run_of(box)
    rest = run if after is None else run.part(after + 1, run.high)
    if show is Show.ALL:
        yield from range(rest.low, rest.high + 1)
    elif show is Show.FREE:
        yield from free_values(box, after)
    else:
        numbers: QuerySet[Any, str]
        for piece in rest.even_pieces():
            if show is Show.MISSING:
                numbers = missing_in(box, piece).values_list("number", flat=True)
            else:
                rows = wearings_in(box.outfit, box, piece).order_by("tag__number")
                numbers = rows.values_list("tag__number", flat=True).distinct()
            found = (piece.value_of(number) for number in numbers.iterator(STEP))
            yield from (value for value in found if value is not None)
