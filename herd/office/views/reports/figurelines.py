"""A figure of a report: how it is shown, how it was made, and the animals behind it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from django.http.response import HttpResponseBase
from django.shortcuts import render

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest
from herd.office.exports import asked_way, hand_out
from herd.office.selection import FIELD, Selection
from herd.office.tables import Cell, Table
from herd.office.views.reports.paging import page_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.calving import Noted
from herd.values.figures import Figure, say_parts

FIGURES = ("Figure", "Value", "Unit", "How it was made")
ANIMALS = ("Visual tag", "EID", "Day", "Why it counts")
# Words that stand in a page's own question and are no part of the form's.
OWN = ("what", "as", "from")


@dataclass(frozen=True, slots=True)
class FigureLine:
    """A figure as it is shown; `value` is None where it isn't known, and `made` says why or how it was made.

    `question` asks the report's page of animals for those behind it.
    """

    name: str
    value: Decimal | int | None
    unit: str
    made: str
    source: str = ""
    cautions: Sequence[str] = ()
    question: str = ""

    @property
    def row(self) -> Sequence[Cell]:
        """The line as it leaves the site."""
        how = " ".join(part for part in (f"{self.made}.", *self.cautions, self.source and f"({self.source})") if part)
        return self.name, "not known" if self.value is None else self.value, self.unit, how


@dataclass(frozen=True, slots=True)
class Behind:
    """What stands behind a figure: its title, the animals that count, the figures with how each was made.

    `report` has the name and the address of the report it belongs to; `picked` are the animals that were picked for it.
    """

    title: str
    noted: Sequence[Noted]
    report: tuple[str, str]
    about: str
    figures: Sequence[FigureLine] = ()
    picked: Selection | None = None


def figure_line(name: str, figure: Figure, places: int = 1, question: str = "") -> FigureLine:
    """A figure rounded once, with its formula and the numbers that went in."""
    cautions = tuple(one.text for one in figure.cautions)
    made = f"{figure.formula}; {say_parts(figure, max(places, 1))}"
    return FigureLine(name, figure.rounded(places), figure.unit, made, figure.source, cautions, question)


def say_figures(lines: Iterable[FigureLine]) -> str:
    """Figures as sentences above a table that leaves the site."""
    rows = (line.row for line in lines)
    return " ".join(f"{name}: {f'{value} {unit}'.strip()}; {how}" for name, value, unit, how in rows)


def question_for(request: OfficeRequest, what: str = "") -> str:
    """This page's question, for the animals behind one of its figures or, without one, for the page itself."""
    question = request.GET.copy()
    for name in OWN:
        question.pop(name, None)
    if what:
        question["what"] = what
    return question.urlencode()


def show_behind(request: OfficeRequest, behind: Behind) -> HttpResponseBase:
    """Answer with what stands behind a figure."""
    way = asked_way(request)
    if way:
        about = f"{say_figures(behind.figures)} {behind.about}".strip()
        return hand_out(request, way, Table(behind.title, ANIMALS, _rows(request.outfit, behind.noted), about))
    page = page_of(request, behind.noted)
    name, address = behind.report
    context = {
        "here": "reports",
        "title": behind.title,
        "report": name,
        "address": address,
        "back": f"{address}?{question_for(request)}",
        # Here they are told already, so they lead nowhere.
        "figures": [replace(one, question="") for one in behind.figures],
        "about": behind.about,
        "picked": behind.picked,
        "carried": _carried(request, behind.picked),
        "heads": len({one.animal_id for one in behind.noted}),
        "page": page,
        "lines": list(_lines(request.outfit, page.rows)),
    }
    return render(request, "office/reports/behind.html", context)


def _carried(request: OfficeRequest, picked: Selection | None) -> list[tuple[str, str]]:
    """What a form with picked animals was asked, for asking it again."""
    if not picked:
        return []
    asked = {name: str(value) for name, value in request.POST.items() if name != "csrfmiddlewaretoken"}
    return list({**asked, FIELD: picked.carried}.items())


def _lines(outfit: Outfit, noted: Sequence[Noted]) -> Iterator[tuple[Noted, Worn]]:
    for some in in_steps(noted):
        worn = worn_by(outfit, [one.animal_id for one in some])
        yield from ((one, worn[one.animal_id]) for one in some)


def _rows(outfit: Outfit, noted: Sequence[Noted]) -> Iterator[Sequence[Cell]]:
    for one, worn in _lines(outfit, noted):
        yield visual_tag(worn), worn.eid, one.day, one.words
