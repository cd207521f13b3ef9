"""The animals behind a figure of the statement of head, each with what made it count."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports import PeriodForm
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.headplot import plural_of
from herd.office.views.reports.paging import page_of
from herd.office.views.reports.statement import ABOUT, HOW, LABELS, SOURCE
from herd.office.views.reports.tagcells import visual_tag
from herd.office.wording import animals_spoken_of, say_event
from herd.registry.models import Animal, Event
from herd.registry.queries.headcount import CLASSES
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.moves import Move
from herd.reports.statement import CLOSING, OPENING, behind

MOVED = ("Visual tag", "EID", "Day", "Counted as", "What happened")


@dataclass(frozen=True, slots=True)
class Line:
    """One animal behind a figure: what it wears now, and what made it count."""

    move: Move
    animal: Animal
    worn: Worn
    words: str


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """The animals behind one figure."""
    outfit, asked = request.outfit, request.GET
    column, name = asked.get("way", ""), asked.get("class", "")
    if not column:
        return redirect("office:report-head")
    if column not in LABELS or name not in {"", *CLASSES}:
        raise Http404
    first, last = PeriodForm(asked, today=today_of(outfit)).days()
    moves = behind(outfit, first, last, column, name)
    title = f"{LABELS[column]}{f', {plural_of(name)}' if name else ''}, {_span(column, first, last)}"
    way = asked_way(request)
    if way:
        return hand_out(request, way, Table(title, MOVED, _moved_rows(outfit, moves), f"{HOW[column]} {ABOUT}"))
    page = page_of(request, moves)
    context = {
        "here": "reports",
        "title": title,
        "lines": list(_lines(outfit, page.rows)),
        "page": page,
        "how": HOW[column],
        "source": SOURCE,
        "back": urlencode({"since": first.isoformat(), "until": last.isoformat()}),
    }
    return render(request, "office/reports/head_animals.html", context)


def _span(way: str, first: date, last: date) -> str:
    if way == OPENING:
        return f"before {say_day(first)}"
    return f"end of {say_day(last)}" if way == CLOSING else f"{say_day(first)} to {say_day(last)}"


def _lines(outfit: Outfit, moves: Sequence[Move]) -> Iterator[Line]:
    for some in in_steps(moves):
        ids = [move.animal_id for move in some]
        herd, worn = Animal.objects.of(outfit).in_bulk(ids), worn_by(outfit, ids)
        said = _said(outfit, [move.event_id for move in some if move.event_id])
        for move in some:
            animal = herd[move.animal_id]
            yield Line(move, animal, worn[move.animal_id], said.get(move.event_id) or _say_move(move, animal))


def _said(outfit: Outfit, ids: Sequence[UUID]) -> dict[UUID | None, str]:
    events: dict[Any, Event] = Event.objects.of(outfit).in_bulk(ids)
    names = names_of(outfit, animals_spoken_of(events.values()))
    return {key: say_event(event, outfit.unit, names) for key, event in events.items()}


def _say_move(move: Move, animal: Animal) -> str:
    """What made an animal count where no event did."""
    if move.way in {OPENING, CLOSING}:
        return ""
    if move.way in {"class_in", "class_out"}:
        return f"A year old: no calf any more, but {_article(animal, move)}."
    born = animal.born_on
    if move.way == "births":
        late = f", in the record from {say_day(move.day)}" if born and born != move.day else ""
        return f"Born {say_day(born or move.day)}{late}."
    came = move.way in {"transfers_in", "purchases", "found"}
    return "Came into the record." if came else "Not in the herd by its day of entry."


def _article(animal: Animal, move: Move) -> str:
    word = move.name if move.way == "class_in" else move.other
    return f"a {word}" if word != "unknown" else "of a class not known"


def _moved_rows(outfit: Outfit, moves: Sequence[Move]) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, moves):
        yield visual_tag(one.worn), one.worn.eid, one.move.day, one.move.name, one.words
