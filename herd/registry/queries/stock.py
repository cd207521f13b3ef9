"""Tag stock: what a box holds, which of its numbers are used, missing or free; counted by range, never one by one."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from itertools import islice
from operator import or_
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Value
from django.db.models.fields import IntegerField
from django.db.models.functions import Length, Replace, Substr
from django.db.models.lookups import Exact

from herd.accounts.models import Outfit
from herd.registry.models import MissingTag, TagBox, TagKind, TagWearing, WearingEnded
from herd.values.runs import Run, read_run

# A piece of a box this short is read number by number; a longer one is halved until the gaps are found.
SHORT = 1_000
# SQLite takes five hundred parts in one compound query.
TOGETHER = 100


@dataclass(frozen=True, slots=True)
class BoxCount:
    """A box and how many of its numbers are used, missing, and free. `next_free` is empty where none is."""

    box: TagBox
    total: int
    used: int
    missing: int
    free: int
    next_free: str = ""


@dataclass(frozen=True, slots=True)
class FreeNumber:
    """A number that waits in a box; with its kind, colour and year of issue it names a tag."""

    number: str
    box: TagBox

    @property
    def colour(self) -> str:
        """The colour that belongs to the tag: of visual tags only."""
        return self.box.colour if self.box.kind == TagKind.VID else ""

    @property
    def issuer_year(self) -> int:
        """The year of issue that belongs to the tag: of visual tags only."""
        return self.box.issuer_year if self.box.kind == TagKind.VID else 0


def run_of(box: TagBox) -> Run:
    """The numbers of a box as a run."""
    return read_run(box.first, box.last)


def boxes_of(outfit: Outfit, kind: str = "", colour: str = "", issuer_year: int | None = None) -> QuerySet[TagBox]:
    """The outfit's boxes, the one that came first in front."""
    wanted: dict[str, Any] = {"kind": kind, "colour": colour, "issuer_year": issuer_year}
    rows = TagBox.objects.of(outfit).filter(**{key: value for key, value in wanted.items() if value not in ("", None)})
    return rows.order_by(F("received_on").asc(nulls_first=True), "pk")


def next_free(
    outfit: Outfit, kind: str, colour: str = "", count: int = 1, issuer_year: int | None = None
) -> list[FreeNumber]:
    """Return up to `count` numbers that are neither used nor missing, from the oldest box on, lowest first.

    Without a colour or year boxes of all are taken, so give both for visual tags that differ in them.
    """
    boxes = list(boxes_of(outfit, kind, colour, issuer_year))
    free = _free_counts(outfit, boxes)
    numbers = (
        FreeNumber(run_of(box).number(value), box) for box in boxes if free[box.pk].free for value in free_values(box)
    )
    return list(islice(numbers, count))


def offers(outfit: Outfit, kinds: Sequence[str] = ()) -> list[FreeNumber]:
    """Return the next free number of each kind, colour and year that there are boxes of."""
    rows = boxes_of(outfit)
    boxes = list(rows.filter(kind__in=kinds) if kinds else rows)
    free = _free_counts(outfit, boxes)
    found: dict[tuple[str, str, int], FreeNumber] = {}
    for box in boxes:
        key = (box.kind, box.colour, box.issuer_year)
        if key not in found and free[box.pk].free and (value := next(free_values(box), None)) is not None:
            found[key] = FreeNumber(run_of(box).number(value), box)
    return [found[key] for key in sorted(found)]


def count_boxes(outfit: Outfit, boxes: Sequence[TagBox]) -> list[BoxCount]:
    """Count the numbers of boxes: three queries for all, and few more for each that is partly used."""
    counts = _free_counts(outfit, boxes)
    return [replace(counts[box.pk], next_free=_next_of(counts[box.pk])) for box in boxes]


def _free_counts(outfit: Outfit, boxes: Sequence[TagBox]) -> dict[UUID, BoxCount]:
    """Count boxes without looking for their next free number."""
    used = _used_counts(outfit, boxes)
    marks = MissingTag.objects.of(outfit).filter(box__in=boxes).order_by()
    missing = dict(marks.values_list("box").annotate(Count("pk")))
    both = dict(used_marks(outfit).filter(box__in=boxes).order_by().values_list("box").annotate(Count("pk")))
    found = {}
    for box in boxes:
        total, worn, gone = len(run_of(box)), used.get(box.pk, 0), missing.get(box.pk, 0)
        found[box.pk] = BoxCount(box, total, worn, gone, total - worn - gone + both.get(box.pk, 0))
    return found


def _next_of(count: BoxCount) -> str:
    run = run_of(count.box)
    if count.free == count.total:
        return run.first
    value = next(free_values(count.box), None) if count.free else None
    return "" if value is None else run.number(value)


def wearings_in(outfit: Outfit, box: TagBox, run: Run) -> QuerySet[TagWearing]:
    """The wearings of a box's numbers within a run; those that were errors of the record don't count."""
    rows = TagWearing.objects.of(outfit).filter(kind=box.kind).filter(_within(box.kind, run, "tag__number"))
    if box.kind == TagKind.VID:
        rows = rows.filter(tag__colour=box.colour, tag__issuer_year=box.issuer_year)
    return rows.exclude(ended=WearingEnded.DATA_ERROR)


def missing_in(box: TagBox, run: Run) -> QuerySet[MissingTag]:
    """The numbers of a box within a run that are marked missing, by number."""
    return MissingTag.objects.of(box.outfit).filter(_within(box.kind, run, "number"), box=box).order_by("number")


def used_marks(outfit: Outfit, *, now: bool = False) -> QuerySet[MissingTag]:
    """Marks of missing numbers that an animal wears or wore all the same; with `now`, wears."""
    worn = TagWearing.objects.of(outfit).exclude(ended=WearingEnded.DATA_ERROR)
    worn = worn.filter(tag__number=OuterRef("number"), tag__outfit=outfit, kind=OuterRef("box__kind"))
    alike = Q(tag__colour=OuterRef("box__colour"), tag__issuer_year=OuterRef("box__issuer_year"))
    worn = worn.filter(~Q(kind=TagKind.VID) | alike)
    return MissingTag.objects.of(outfit).filter(Exists(worn.filter(ended="") if now else worn))


def free_values(box: TagBox, after: int | None = None) -> Iterator[int]:
    """Yield the values of a box's free numbers, lowest first; `after` leaves out those up to it."""
    run = run_of(box)
    yield from _free(box, run if after is None else run.part(after + 1, run.high))


def _free(box: TagBox, run: Run) -> Iterator[int]:
    if len(run) <= 0:
        return
    if len(run) <= SHORT:
        taken = set(wearings_in(box.outfit, box, run).values_list("tag__number", flat=True))
        taken.update(missing_in(box, run).values_list("number", flat=True))
        yield from (value for value in range(run.low, run.high + 1) if run.number(value) not in taken)
        return
    middle = (run.low + run.high) // 2
    for half in (run.part(run.low, middle), run.part(middle + 1, run.high)):
        if not _is_full(box, half):
            yield from _free(box, half)


def _is_full(box: TagBox, run: Run) -> bool:
    numbers = wearings_in(box.outfit, box, run).values("tag__number").distinct()
    unused = missing_in(box, run).exclude(pk__in=used_marks(box.outfit).filter(box=box).values("pk"))
    return numbers.count() + unused.count() >= len(run)


def _used_counts(outfit: Outfit, boxes: Iterable[TagBox]) -> dict[UUID, int]:
    """How many numbers of each box were ever worn, a hundred boxes in one query."""
    found: dict[UUID, int] = {}
    listed = list(boxes)
    for start in range(0, len(listed), TOGETHER):
        some = listed[start : start + TOGETHER]
        parts = [_used_count(outfit, box, at) for at, box in enumerate(some)]
        found.update({some[at].pk: used for at, used in parts[0].union(*parts[1:], all=True)})
    return found


def _used_count(outfit: Outfit, box: TagBox, at: int) -> Any:
    """The place of a box among others and how many of its numbers were worn, as a query."""
    rows = wearings_in(outfit, box, run_of(box)).order_by().annotate(at=Value(at, output_field=IntegerField()))
    return rows.values("at").annotate(used=Count("tag__number", distinct=True)).values_list("at", "used")


def _within(kind: str, run: Run, column: str) -> Q:
    """A condition for numbers of a run, cut where the numbers grow longer, so that an index can answer it."""
    return reduce(or_, (_between(kind, piece, column) for piece in run.even_pieces()))


def _between(kind: str, piece: Run, column: str) -> Q:
    span = Q(**{f"{column}__gte": piece.first, f"{column}__lte": piece.last})
    if kind == TagKind.EID:
        return span
    # Between 100 and 199 as text there is also 15B and 1500, and between 10A and 19A also 15B.
    digits = Substr(F(column), len(piece.stem) + 1, len(piece.first) - len(piece.stem) - len(piece.tail))
    shape = Q(Exact(Length(F(column)), len(piece.first)), Exact(reduce(_without, "0123456789", digits), Value("")))
    return span & shape & Q(**{f"{column}__endswith": piece.tail} if piece.tail else {})


def _without(text: Any, digit: str) -> Any:
    """The text without a digit, in the database's own words."""
    return Replace(text, Value(digit), Value(""))
