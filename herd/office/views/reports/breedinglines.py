"""What the breeding reports share: a figure with how it was made, and the animals behind one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.http.response import HttpResponseBase
from django.shortcuts import render

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest
from herd.office.exports import asked_way, hand_out
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
    """A figure as it is shown; `value` is None where it isn't known, and `made` says why or how it was made."""

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


def figure_line(name: str, figure: Figure, places: int = 1, question: str = "") -> FigureLine:
    """A figure rounded once, with its formula and the numbers that went in."""
    cautions = tuple(one.text for one in figure.cautions)
    made = f"{figure.formula}; {say_parts(figure, 1)}"
    return FigureLine(name, figure.rounded(places), figure.unit, made, figure.source, cautions, question)


def question_for(request: OfficeRequest, what: str = "") -> str:
    """This page's question, for the animals behind one of its figures or, without one, for the page itself."""
    question = request.GET.copy()
    for name in OWN:
        question.pop(name, None)
    if what:
        question["what"] = what
    return question.urlencode()


def show_animals(
    request: OfficeRequest, title: str, noted: Sequence[Noted], back: tuple[str, str], about: str
) -> HttpResponseBase:
    """Answer with the animals behind a figure; `back` has the name and address of the report."""
    way = asked_way(request)
    if way:
        return hand_out(request, way, Table(title, ANIMALS, _rows(request.outfit, noted), about))
    page = page_of(request, noted)
    name, address = back
    context = {
        "here": "reports",
        "title": title,
        "report": name,
        "back": f"{address}?{question_for(request)}",
        "page": page,
        "lines": list(_lines(request.outfit, page.rows)),
    }
    return render(request, "office/reports/breeding_animals.html", context)


def _lines(outfit: Outfit, noted: Sequence[Noted]) -> Iterator[tuple[Noted, Worn]]:
    for some in in_steps(noted):
        worn = worn_by(outfit, [one.animal_id for one in some])
        yield from ((one, worn[one.animal_id]) for one in some)


def _rows(outfit: Outfit, noted: Sequence[Noted]) -> Iterator[Sequence[Cell]]:
    for one, worn in _lines(outfit, noted):
        yield visual_tag(worn), worn.eid, one.day, one.words
