"""The statement of head, and the animals behind each of its figures."""

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
from herd.office.views.reports.paging import page_of
from herd.office.wording import animals_spoken_of, say_event
from herd.registry.models import Animal, Event
from herd.registry.queries.headcount import CLASSES
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.moves import Move
from herd.reports.statement import CLOSING, OPENING, WAYS, Statement, behind, statement_of
from herd.values.inventory import Flow

# In the order of the sum: what came stands before what went.
LABELS = {
    OPENING: "Opening",
    "births": "Born",
    "purchases": "Bought",
    "transfers_in": "Came in",
    "found": "Found",
    "class_in": "Class in",
    "sales": "Sold",
    "deaths": "Died",
    "transfers_out": "Transferred",
    "missing": "Missing",
    "class_out": "Class out",
    CLOSING: "Closing",
}
MOVED = ("Visual tag", "EID", "Day", "Counted as", "What happened")
ABOUT = (
    "Opening is counted at the end of the day before the first, closing at the end of the last day. An animal under a"
    " year counts as a calf unless she has calved."
)
PLURALS = {"calf": "calves", "unknown": "class not known"}


@dataclass(frozen=True, slots=True)
class Line:
    """One animal behind a figure: what it wears now, and what made it count."""

    move: Move
    animal: Animal
    worn: Worn
    words: str


@require_safe
@needs(Role.READER)
def head(request: OfficeRequest) -> HttpResponseBase:
    """The statement by class from one day to another."""
    form = PeriodForm(request.GET if _asks(request) else None, today=today_of(request.outfit))
    first, last = form.days()
    statement = statement_of(request.outfit, first, last)
    way = asked_way(request)
    if way:
        return hand_out(request, way, _table(statement))
    days = {"since": first.isoformat(), "until": last.isoformat()}
    context = {
        "here": "reports",
        "form": form,
        "statement": statement,
        "labels": LABELS.values(),
        "rows": [(name, _cells(name, flow, days)) for name, flow in statement.by_class.items()],
        "total": _cells("", statement.sums.total, days),
        "reasons": statement.sums.reasons,
        "about": ABOUT,
        "times": _times(form.today),
    }
    return render(request, "office/reports/head.html", context)


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
    title = f"{LABELS[column]}{f', {_plural(name)}' if name else ''}, {_span(column, first, last)}"
    way = asked_way(request)
    if way:
        return hand_out(request, way, Table(title, MOVED, _moved_rows(outfit, moves), ABOUT))
    page = page_of(request, moves)
    context = {
        "here": "reports",
        "title": title,
        "lines": list(_lines(outfit, page.rows)),
        "page": page,
        "back": urlencode({"since": first.isoformat(), "until": last.isoformat()}),
    }
    return render(request, "office/reports/head_animals.html", context)


def _asks(request: OfficeRequest) -> bool:
    return bool({"since", "until"} & set(request.GET))


def _cells(name: str, flow: Flow, days: dict[str, str]) -> list[tuple[str, int, str]]:
    """Each figure with its label and the question that lists its animals."""
    found = []
    for way, label in LABELS.items():
        figure = getattr(flow, way) or 0
        found.append((label, figure, urlencode({**days, "way": way, **({"class": name} if name else {})})))
    return found


def _table(statement: Statement) -> Table:
    rows: list[Sequence[Cell]] = [_row(_plural(name), flow) for name, flow in statement.by_class.items()]
    rows.append(_row("all", statement.sums.total))
    sums = statement.sums
    said = "It balances." if sums.is_balanced else f"It does not balance: {' '.join(sums.reasons)}"
    title = f"Statement of head, {statement.first} to {statement.last}"
    return Table(title, ("Class", *LABELS.values(), "Unexplained"), rows, f"{said} {ABOUT}")


def _row(word: str, flow: Flow) -> list[Cell]:
    return [word, *(getattr(flow, way) or 0 for way in LABELS), flow.gap]


def _times(today: date) -> list[tuple[str, str]]:
    """Times that are often asked for, each with its question."""
    year = today.year
    times = (
        ("this year", date(year, 1, 1), today),
        (f"{year - 1}", date(year - 1, 1, 1), date(year - 1, 12, 31)),
        (f"{year - 2}", date(year - 2, 1, 1), date(year - 2, 12, 31)),
    )
    return [(name, urlencode({"since": since.isoformat(), "until": until.isoformat()})) for name, since, until in times]


def _span(way: str, first: date, last: date) -> str:
    if way == OPENING:
        return f"before {say_day(first)}"
    return f"end of {say_day(last)}" if way == CLOSING else f"{say_day(first)} to {say_day(last)}"


def _plural(name: str) -> str:
    return PLURALS.get(name, f"{name}s")


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
    return "Came into the record." if move.way in WAYS[:5] else "Not in the herd by its day of entry."


def _article(animal: Animal, move: Move) -> str:
    word = move.name if move.way == "class_in" else move.other
    return f"a {word}" if word != "unknown" else "of a class not known"


def _moved_rows(outfit: Outfit, moves: Sequence[Move]) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, moves):
        vid = " ".join(part for part in (one.worn.vid, one.worn.vid_colour) if part)
        yield vid, one.worn.eid, one.move.day, one.move.name, one.words


