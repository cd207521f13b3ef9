"""The log of tags by period: every tag put on, replaced, lost or taken off between two days.

9 CFR 86.4 asks to keep such records of official eartags for five years: the day, old and new number, the type of
each device, the reason, and where the old one came off.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from heapq import merge
from itertools import islice
from typing import Any
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from herd.accounts.models import Outfit
from herd.ledger.models import Change
from herd.ledger.rows import in_steps
from herd.registry.models import TagWearing
from herd.registry.queries.changes import facts_of

ON, OFF = 0, 1
STEP = 500


@dataclass(frozen=True, slots=True)
class LogQuestion:
    """The days asked for, both included, and the kind of tag, empty for all."""

    since: date
    until: date
    kind: str = ""


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in the log: the day, whether a tag went ON or came OFF, and the wearing."""

    day: date
    side: int
    wearing_id: UUID

    def __str__(self) -> str:
        return f"{self.day}_{self.side}_{self.wearing_id}"


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line: the tag that came off, the tag that went on, or both; and the change that wrote it."""

    place: Place
    animal_id: UUID
    old: TagWearing | None
    new: TagWearing | None
    change: Change | None

    @property
    def is_on(self) -> bool:
        """Whether the line is about a tag going on."""
        return self.place.side == ON


def place_of(text: str) -> Place | None:
    """Read a place as an address carries it; None for anything else."""
    day, _, rest = text.partition("_")
    side, _, wearing = rest.partition("_")
    try:
        return Place(date.fromisoformat(day), int(side), UUID(wearing))
    except ValueError:
        return None


def log_lines(outfit: Outfit, question: LogQuestion, after: Place | None = None) -> Iterator[LogLine]:
    """Yield the lines of the log after a place, by day, in flat memory."""
    while True:
        page = log_page(outfit, question, after, STEP)
        yield from page
        if len(page) < STEP:
            return
        after = page[-1].place


def log_page(outfit: Outfit, question: LogQuestion, after: Place | None, count: int) -> list[LogLine]:
    """Return at most `count` lines after a place, in five queries."""
    on = _went_on(outfit, question, after)[:count]
    off = _came_off(outfit, question, after)[:count]
    placed = merge(
        ((Place(row.worn_from, ON, row.pk), row) for row in on if row.worn_from),
        ((Place(row.worn_to, OFF, row.pk), row) for row in off if row.worn_to),
        key=lambda one: one[0],
    )
    return _lines(outfit, list(islice(placed, count)))


def _went_on(outfit: Outfit, question: LogQuestion, after: Place | None) -> QuerySet[TagWearing]:
    rows = _of_kind(outfit, question).filter(worn_from__range=(question.since, question.until))
    return _after(rows, "worn_from", ON, after)


def _came_off(outfit: Outfit, question: LogQuestion, after: Place | None) -> QuerySet[TagWearing]:
    rows = _of_kind(outfit, question).filter(worn_to__range=(question.since, question.until))
    # Where another of its kind went on the same day, that one's line tells of both.
    heirs = TagWearing.objects.of(outfit).filter(replaces=OuterRef("pk"), kind=OuterRef("kind"))
    return _after(rows.exclude(Exists(heirs.filter(worn_from=OuterRef("worn_to")))), "worn_to", OFF, after)


def _of_kind(outfit: Outfit, question: LogQuestion) -> QuerySet[TagWearing]:
    rows = TagWearing.objects.of(outfit).select_related("tag", "replaces__tag")
    return rows.filter(kind=question.kind) if question.kind else rows


def _after(rows: QuerySet[TagWearing], column: str, side: int, after: Place | None) -> QuerySet[TagWearing]:
    ordered = rows.order_by(F(column).asc(), "pk")
    if after is None:
        return ordered
    rest_of_day = Q(pk__gt=after.wearing_id) if side == after.side else Q(pk__isnull=side < after.side)
    return ordered.filter(Q(**{f"{column}__gte": after.day}), Q(**{f"{column}__gt": after.day}) | rest_of_day)


def _lines(outfit: Outfit, placed: list[tuple[Place, TagWearing]]) -> list[LogLine]:
    gone = [row.pk for place, row in placed if place.side == OFF]
    heirs = TagWearing.objects.of(outfit).filter(replaces__in=gone).select_related("tag")
    heir_of: dict[Any, TagWearing] = {row.replaces_id: row for row in heirs}
    written = _written(outfit, (row.pk for _, row in placed))
    return [
        LogLine(
            place,
            row.animal_id,
            row.replaces if place.side == ON else row,
            row if place.side == ON else heir_of.get(row.pk),
            written.get((row.pk, place.side)),
        )
        for place, row in placed
    ]


def _written(outfit: Outfit, ids: Iterable[UUID]) -> dict[tuple[UUID, int], Change]:
    """For each wearing and side, the change that wrote it and stands."""
    found: dict[tuple[UUID, int], Change] = {}
    for some in in_steps(set(ids)):
        rows = Change.objects.filter(outfit=outfit, subject_id__in=some).select_related("changeset")
        for change in facts_of(rows):
            side = OFF if "ended" in (change.after or {}) else ON
            found.setdefault((change.subject_id, ON), change)
            if side == OFF:
                found[(change.subject_id, OFF)] = change
    return found
