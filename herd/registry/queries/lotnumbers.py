"""The numbers of a lot: a run counted on from its first number, or the next free ones in stock."""

from dataclasses import dataclass, replace
from typing import Any

from herd.accounts.models import Outfit
from herd.registry.models import TagKind
from herd.registry.queries.stock import next_free
from herd.values.electronic import read_electronic
from herd.values.problems import Unreadable
from herd.values.runs import read_run
from herd.values.tagnumbers import read_tag_number


@dataclass(frozen=True, slots=True)
class Numbered:
    """One kind of tag for each of `head` animals: from `first` on, or without it from stock.

    Colour and year of issue belong to visual tags; None for the year takes boxes of any.
    """

    kind: TagKind
    head: int
    first: str = ""
    colour: str = ""
    issuer_year: int | None = None


def number_lot(outfit: Outfit, wanted: Numbered) -> list[dict[str, Any]]:
    """Return a tag for each head, as the services take it; raises Unreadable where there are not enough."""
    return _counted_on(wanted) if wanted.first else _from_stock(outfit, wanted)


def _counted_on(wanted: Numbered) -> list[dict[str, Any]]:
    first = read_tag_number(wanted.kind, wanted.first)
    try:
        run = read_run(first.number, first.number)
    except Unreadable as problem:
        raise Unreadable(wanted.first, "no_digits", "It has no digits to count on from.") from problem
    run = replace(run, high=run.low + wanted.head - 1)
    if wanted.kind == TagKind.EID and not _is_electronic(run.last):
        reason = f"Counted on from here, the last would be {run.last}, which no EID can hold."
        raise Unreadable(wanted.first, "run_too_long", reason)
    colour = wanted.colour or first.colour
    more = {"colour": colour, "issuer_year": wanted.issuer_year or 0} if wanted.kind == TagKind.VID else {}
    return [{"kind": wanted.kind.value, "number": run.number(at), **more} for at in range(run.low, run.high + 1)]


def _from_stock(outfit: Outfit, wanted: Numbered) -> list[dict[str, Any]]:
    is_visual = wanted.kind == TagKind.VID
    colour, year = (wanted.colour, wanted.issuer_year) if is_visual else ("", None)
    free = next_free(outfit, wanted.kind, colour, wanted.head, year)
    if len(free) < wanted.head:
        reason = f"The boxes have {len(free):,} free numbers of this kind, not {wanted.head:,}."
        raise Unreadable("", "stock_too_small", reason)
    return [
        {"kind": wanted.kind.value, "number": one.number, "colour": one.colour, "issuer_year": one.issuer_year}
        for one in free
    ]


def _is_electronic(number: str) -> bool:
    """Whether a number that was counted up to is an EID: its national part has room for 38 bits (ISO 11784)."""
    try:
        return read_electronic(number).number.digits == number
    except Unreadable:
        return False
