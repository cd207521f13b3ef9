"""Doubtful tags on animals on hand: numbers that can't be right, worn twice, unexplained, or at odds with the stock."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from itertools import groupby, islice
from typing import Any
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from herd.accounts.models import Outfit
from herd.registry.models import Animal, AnimalStatus, TagBox, TagKind, TagWearing
from herd.registry.queries.stock import run_of, used_marks
from herd.registry.queries.tags import wearings_of
from herd.values.runs import series_of
from herd.values.tagdoubts import doubts_about

STEP = 2_000
LARGE = 10_000
JUDGED = (TagKind.EID, TagKind.VID, TagKind.METAL)


@dataclass(frozen=True, slots=True)
class Doubt:
    """One doubtful tag, or an animal without any: why, and the ids that mending it needs. `key` is its place."""

    key: str
    animal_id: UUID
    reason: str
    kind: str = ""
    number: str = ""
    wearing_id: UUID | None = None
    box_id: UUID | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """A kind of doubt: its name, what it looks for in a sentence, and the search from a key on."""

    name: str
    about: str
    find: Callable[[Outfit, str], Iterator[Doubt]]


def worn_now(outfit: Outfit) -> QuerySet[TagWearing]:
    """The open wearings of animals on hand."""
    return TagWearing.objects.of(outfit).filter(ended="", animal__status=AnimalStatus.ON_HAND)


def _stream(rows: QuerySet[Any], after: str, *columns: str) -> Iterator[tuple[Any, ...]]:
    """Yield columns of rows by key, the key first, in flat memory; an `after` that is no key is passed over."""
    with suppress(ValueError):
        rows = rows.filter(pk__gt=UUID(after))
    yield from rows.order_by("pk").values_list("pk", *columns).iterator(STEP)


def _numbers(outfit: Outfit, after: str) -> Iterator[Doubt]:
    rows = worn_now(outfit).filter(kind__in=JUDGED)
    for key, kind, number, animal_id in _stream(rows, after, "kind", "tag__number", "animal_id"):
        for reason in doubts_about(kind, number)[:1]:
            yield Doubt(str(key), animal_id, reason, kind, number, key)


def _worn_twice(outfit: Outfit, after: str) -> Iterator[Doubt]:
    rows = worn_now(outfit).filter(kind__in=JUDGED).order_by()
    kind, _, number = after.partition(" ")
    if after:
        rows = rows.filter(Q(kind__gt=kind) | Q(kind=kind, tag__number__gt=number))
    twice = rows.values("kind", "tag__number").annotate(head=Count("animal", distinct=True)).filter(head__gt=1)
    for one in twice.order_by("kind", "tag__number").iterator(STEP):
        alike = wearings_of(outfit, one["kind"], one["tag__number"]).filter(animal__status=AnimalStatus.ON_HAND)
        alike = alike.select_related("tag")
        yield from _alike(list(alike.order_by("tag__colour", "pk")))


def _alike(rows: list[TagWearing]) -> Iterator[Doubt]:
    """The wearings of one number, with what tells them apart."""
    for row in rows:
        others = [one for one in rows if one.animal_id != row.animal_id]
        if row.kind != TagKind.VID:
            label = TagKind(row.kind).label
            reason = f"{label[0].upper()}{label[1:]} {row.tag.number} is on {len(others) + 1} animals."
        elif any(one.tag.colour == row.tag.colour for one in others):
            reason = f"{row.tag} is on {len(others) + 1} animals, told apart by the year of issue alone."
        else:
            colours = ", ".join(sorted({one.tag.colour or "no colour" for one in others}))
            reason = f"{row.tag.number} is on {len(others) + 1} animals; the others in {colours}."
        yield Doubt(f"{row.kind} {row.tag.number}", row.animal_id, reason, row.kind, row.tag.number, row.pk)


def _untagged(outfit: Outfit, after: str) -> Iterator[Doubt]:
    worn = TagWearing.objects.of(outfit).filter(animal=OuterRef("pk"), ended="")
    rows = Animal.objects.of(outfit).filter(~Exists(worn), status=AnimalStatus.ON_HAND)
    for (key,) in _stream(rows, after):
        yield Doubt(str(key), key, "On hand without any tag.")


def _unexplained(outfit: Outfit, after: str) -> Iterator[Doubt]:
    first = TagWearing.objects.of(outfit).filter(animal=OuterRef("animal"), ended="", kind=TagKind.EID)
    rows = worn_now(outfit).filter(Exists(first.exclude(pk=OuterRef("pk"))), kind=TagKind.EID)
    rows = rows.filter(is_second=True, second_reason="")
    for key, number, animal_id in _stream(rows, after, "tag__number", "animal_id"):
        yield Doubt(str(key), animal_id, "A second EID without its reason.", TagKind.EID, number, key)


def _missing(outfit: Outfit, after: str) -> Iterator[Doubt]:
    rows = used_marks(outfit, now=True)
    for key, number, box_id, kind, colour in _stream(rows, after, "number", "box_id", "box__kind", "box__colour"):
        worn = wearings_of(outfit, kind, number)
        worn = worn.filter(tag__colour=colour) if kind == TagKind.VID else worn
        for row in worn[:1]:
            reason = f"{number} is marked missing in its box, and is on an animal."
            yield Doubt(str(key), row.animal_id, reason, kind, number, row.pk, box_id)


def _outside(outfit: Outfit, after: str) -> Iterator[Doubt]:
    covers = _covers(outfit)
    if not covers:
        return
    rows = worn_now(outfit).filter(kind__in={kind for kind, *_ in covers}, worn_from__isnull=False)
    columns = ("kind", "tag__number", "tag__colour", "tag__issuer_year", "animal_id", "worn_from")
    for key, kind, number, colour, year, animal_id, day in _stream(rows, after, *columns):
        cover = covers.get(_series(kind, number, colour, year))
        if cover and cover.is_outside(number, day):
            reason = f"{number} is in no box, though boxes of its series are in stock since before {day}."
            yield Doubt(str(key), animal_id, reason, kind, number, key)


@dataclass(slots=True)
class Cover:
    """What the boxes of one series hold, as sorted ends by length of number, and since when they came."""

    since: date | None
    ends: dict[int, list[tuple[str, str]]]

    def is_outside(self, number: str, day: date) -> bool:
        """Whether a tag put on once boxes of its series had come is from none of them."""
        if self.since is None or day < self.since:
            return False
        ends = self.ends.get(len(number), [])
        at = bisect_right(ends, (number, "\uffff")) - 1
        return at < 0 or ends[at][1] < number


Series = tuple[str, str, str, str, int]


def _covers(outfit: Outfit) -> dict[Series, Cover]:
    found: dict[Series, Cover] = {}
    for box in TagBox.objects.of(outfit):
        series = _series(box.kind, box.first, box.colour, box.issuer_year)
        cover = found.setdefault(series, Cover(None, defaultdict(list)))
        days = [day for day in (cover.since, box.received_on) if day]
        cover.since = min(days) if days else None
        for piece in run_of(box).even_pieces():
            cover.ends[len(piece.first)].append((piece.first, piece.last))
    for cover in found.values():
        for ends in cover.ends.values():
            ends.sort()
    return found


def _series(kind: str, number: str, colour: str, year: int) -> Series:
    """What boxes and tags of one series share: an EID's prefix, or the signs around the digits."""
    if kind == TagKind.EID:
        return (kind, number[:3], "", "", 0)
    is_visual = kind == TagKind.VID
    return (kind, *series_of(number), colour if is_visual else "", year if is_visual else 0)


CHECKS: dict[str, Check] = {
    "numbers": Check(
        "Numbers that look wrong",
        "Test codes, makers' codes, prefixes of no country, letters among digits, a wrong length, unknown states.",
        _numbers,
    ),
    "twice": Check("Worn twice", "The same EID, metal number or visual number on two animals on hand.", _worn_twice),
    "untagged": Check("No tag", "Animals on hand that wear no tag at all.", _untagged),
    "second": Check("Second EID unexplained", "Animals that wear two EIDs, the second without a reason.", _unexplained),
    "missing": Check("Missing but worn", "Numbers marked missing in their box that an animal wears.", _missing),
    "outside": Check(
        "From no box",
        "Tags put on since boxes of their series came in, but from none of them. Bought animals bring such tags along.",
        _outside,
    ),
}


def doubts_of(outfit: Outfit, check: str, after: str = "") -> Iterator[Doubt]:
    """Yield the doubts that a check finds after a key, in flat memory."""
    return CHECKS[check].find(outfit, after)


def page_of(outfit: Outfit, check: str, after: str, count: int) -> tuple[list[Doubt], str]:
    """Return about `count` doubts, those with one key together, and the key to go on after, empty at the end."""
    page: list[Doubt] = []
    for _, some in groupby(doubts_of(outfit, check, after), key=lambda one: one.key):
        if len(page) >= count:
            return page, page[-1].key
        page.extend(some)
    return page, ""


def is_large(outfit: Outfit) -> bool:
    """Whether so many animals are on hand that looking through all their tags is felt."""
    return Animal.objects.of(outfit).filter(status=AnimalStatus.ON_HAND)[LARGE : LARGE + 1].exists()


def count_up_to(outfit: Outfit, check: str, most: int) -> int:
    """Count the doubts of a check, and stop one above `most`."""
    return sum(1 for _ in islice(doubts_of(outfit, check), most + 1))
