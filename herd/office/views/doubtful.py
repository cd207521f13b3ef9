"""Doubtful tags: what was found, why, and where to mend it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, has_role, needs
from herd.office.exports import asked_way, hand_out
from herd.office.naming import names_of
from herd.office.tables import Cell, Table
from herd.registry.models import TagKind
from herd.registry.queries.doubtfultags import CHECKS, Doubt, count_up_to, doubts_of, is_large, page_of

A_PAGE = 50
MOST_COUNTED = 200
STEP = 500
COLUMNS = ("Check", "Animal", "Kind", "Number", "Why")


@dataclass(frozen=True, slots=True)
class SaidDoubt:
    """A doubt with what people call its animal, and the address and words of what mends it."""

    doubt: Doubt
    name: str
    mend: str
    words: str


@require_safe
@needs(Role.READER)
def doubtful(request: OfficeRequest) -> HttpResponseBase:
    """The checks with their counts, or what one of them found."""
    asked = request.GET.get("check", "")
    if asked and asked not in CHECKS:
        raise Http404
    way = asked_way(request)
    if way:
        about = CHECKS[asked].about if asked else ""
        return hand_out(request, way, Table("Doubtful tags", COLUMNS, _rows(request.outfit, asked), about))
    return _one(request, asked) if asked else _all(request)


def _all(request: OfficeRequest) -> HttpResponseBase:
    # Looking through a large herd takes seconds, so there it waits until somebody asks.
    is_counted = request.GET.get("count") == "1" or not is_large(request.outfit)
    counts = [
        (key, check, count_up_to(request.outfit, key, MOST_COUNTED) if is_counted else None)
        for key, check in CHECKS.items()
    ]
    context = {
        "here": "tags",
        "counts": counts,
        "is_counted": is_counted,
        "most": MOST_COUNTED,
        "is_clean": is_counted and not any(count for _, _, count in counts),
    }
    return render(request, "office/tags/doubtful.html", context)


def _one(request: OfficeRequest, asked: str) -> HttpResponseBase:
    after = request.GET.get("after", "")
    page, following = page_of(request.outfit, asked, after, A_PAGE)
    names = names_of(request.outfit, (one.animal_id for one in page))
    context = {
        "here": "tags",
        "key": asked,
        "check": CHECKS[asked],
        "doubts": [_said(one, asked, names[str(one.animal_id)]) for one in page],
        "next": f"?{urlencode({'check': asked, 'after': following})}" if following else "",
        "is_later_page": bool(after),
        "may_write": has_role(request.role, Role.CREW),
    }
    return render(request, "office/tags/doubts.html", context)


def _said(doubt: Doubt, check: str, name: str) -> SaidDoubt:
    if doubt.wearing_id is None:
        return SaidDoubt(doubt, name, reverse("office:tag-new", args=[doubt.animal_id]), "Put on a tag")
    if doubt.box_id is not None:
        address = reverse("office:tag-box-found", args=[doubt.box_id])
        return SaidDoubt(doubt, name, f"{address}?{urlencode({'number': doubt.number})}", "It is not missing")
    address = reverse("office:tag-replace", args=[doubt.animal_id, doubt.wearing_id])
    if check in ("numbers", "twice"):
        return SaidDoubt(doubt, name, f"{address}?ended=data_error", "Correct the number")
    return SaidDoubt(doubt, name, address, "Lost, broken or replaced")


def _rows(outfit: Outfit, asked: str) -> Iterator[Sequence[Cell]]:
    for key in [asked] if asked else CHECKS:
        yield from _rows_of(outfit, CHECKS[key].name, doubts_of(outfit, key))


def _rows_of(outfit: Outfit, check: str, doubts: Iterable[Doubt]) -> Iterator[Sequence[Cell]]:
    rest = iter(doubts)
    while some := list(islice(rest, STEP)):
        names = names_of(outfit, (one.animal_id for one in some))
        for one in some:
            kind = TagKind(one.kind).label if one.kind else ""
            yield [check, names[str(one.animal_id)], kind, one.number, one.reason]
