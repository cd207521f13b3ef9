"""A long list cut into pages by a place in it, and what its form was asked."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, QueryDict

A_PAGE = 200


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a list: its rows, the number of its first and last, how many there are, and where the next begins."""

    rows: Sequence[Any]
    first: int
    last: int
    total: int
    next: str
    start: str


def page_of(request: HttpRequest, rows: Sequence[Any] | QuerySet[Any], length: int = A_PAGE) -> Page:
    """The page that `from` asks for; the first where that can't be read. Of a query only its page is fetched."""
    total = rows.count() if isinstance(rows, QuerySet) else len(rows)
    text = request.GET.get("from", "")
    start = int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
    start = start if start < total else 0
    shown = list(rows[start : start + length])
    more = start + length < total
    return Page(
        shown,
        start + 1 if shown else 0,
        start + len(shown),
        total,
        _question(request, start + length) if more else "",
        _question(request, 0) if start else "",
    )


def _question(request: HttpRequest, start: int) -> str:
    """This page's question from another place on."""
    question = request.GET.copy()
    question.pop("from", None)
    if start:
        question["from"] = str(start)
    return f"?{question.urlencode()}"


def question_of(request: HttpRequest) -> QueryDict | None:
    """What a form by GET is asked; None where the address asks only for a page or a way out."""
    return request.GET if set(request.GET) - {"as", "from"} else None
