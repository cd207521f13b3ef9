"""Finds animals by any number they wear or wore: whole, by last digits, or by a near miss."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Event, TagKind, TagWearing
from herd.values.cells import strip_guards
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.nearness import near_numbers
from herd.values.problems import Unreadable

MOST = 50


@dataclass(frozen=True, slots=True)
class Hit:
    """An animal found, and why: `how` is one of worn, worn_before, tube, last_digits, near."""

    animal: Animal
    number: str
    kind: str
    how: str


HOW_ORDER = ("worn", "worn_before", "tube", "last_digits", "near")


def find_animals(outfit: Outfit, text: str) -> list[Hit]:
    """Return what a number may mean, the surest first; an animal is named once.

    Near misses are looked for only where nothing wears or wore the number itself.
    """
    number = _normal(text)
    if not number:
        return []
    hits = _exact(outfit, number)
    # A whole EID is nothing else as well.
    if not any(hit.how == "worn" and hit.kind == TagKind.EID for hit in hits):
        hits += [*_by_tube(outfit, text.strip()), *_by_last_digits(outfit, number)]
    if not any(hit.how in {"worn", "worn_before", "tube"} for hit in hits):
        hits += _near(outfit, number)
    return _once_each(hits)


def _normal(text: str) -> str:
    bare = strip_guards(text).upper()
    if might_be_electronic(bare):
        try:
            return read_electronic(bare).number.digits
        except Unreadable:
            pass
    return " ".join(bare.split())[:30]


def _wearings(outfit: Outfit, **where: object) -> Iterable[TagWearing]:
    # The outfit of the tag as well, since a database finds numbers by outfit.
    rows = TagWearing.objects.of(outfit).filter(animal__is_void=False, tag__outfit=outfit, **where)
    return rows.select_related("tag", "animal", "animal__group").order_by("-worn_from", "id")[:MOST]


def _exact(outfit: Outfit, number: str) -> list[Hit]:
    return [
        Hit(one.animal, str(one.tag), one.kind, "worn" if one.is_open else "worn_before")
        for one in _wearings(outfit, tag__number__in=spellings_of(number))
    ]


def spellings_of(text: str) -> set[str]:
    """How the record may write a number that was typed or scanned."""
    number = _normal(text)
    return {number, number.replace(" ", ""), number.replace("-", "")}


def _by_tube(outfit: Outfit, text: str) -> list[Hit]:
    rows = Event.objects.of(outfit).filter(tube__in={text, text.upper()}).exclude(tube="")
    rows = rows.select_related("animal", "animal__group")[:MOST]
    return [Hit(event.animal, event.tube, "tube", "tube") for event in rows]


def _by_last_digits(outfit: Outfit, number: str) -> list[Hit]:
    if not (number.isdigit() and 3 <= len(number) < 15):
        return []
    low = number[::-1]
    high = _next(low)
    span: dict[str, str] = {"tag__backwards__gt": low}
    if high:
        span["tag__backwards__lt"] = high
    return [
        Hit(one.animal, str(one.tag), one.kind, "last_digits")
        for one in _wearings(outfit, kind=TagKind.EID, **span)
    ]


def _next(digits: str) -> str:
    """The least string of digits above all that begin with these; empty where there is none."""
    stem = digits.rstrip("9")
    return stem[:-1] + str(int(stem[-1]) + 1) if stem else ""


def _near(outfit: Outfit, number: str) -> list[Hit]:
    return [
        Hit(one.animal, str(one.tag), one.kind, "near")
        for one in _wearings(outfit, tag__number__in=near_numbers(number))
    ]


def _once_each(hits: list[Hit]) -> list[Hit]:
    seen: dict[UUID, Hit] = {}
    for hit in sorted(hits, key=lambda one: HOW_ORDER.index(one.how)):
        seen.setdefault(hit.animal.pk, hit)
    return list(seen.values())
