"""Frame scores and scrotal circumferences of a time, each with its size at 365 days and its ratio."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_growth import MeasuredForm
from herd.office.ownvalues import say_own
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.growthcells import ShownFigure, show_figure
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.growthmeasured import HIP, SCROTAL, MeasuredLine, measured
from herd.reports.ownvalues import MEASURED
from herd.values.figures import Figure
from herd.values.policy import Policy
from herd.values.policyvalues import say_value

TITLES = {HIP: "Frame scores", SCROTAL: "Scrotal circumferences"}
UNITS = {HIP: "in", SCROTAL: "cm"}
UNIT_WORDS = {HIP: "inches", SCROTAL: "centimetres"}
ABOUT = {
    HIP: "Hip height over the hooks, on level ground; frame scores by the equations of the Beef Improvement Federation"
    " for bulls and for heifers, steers by the bulls’ one, and none for cows. The height at 365 days is the one that"
    " the same score means at that age.",
    SCROTAL: "Adjusted to 365 days by the breed’s growth a day, after the Beef Improvement Federation. A breeding"
    " soundness examination is the veterinarian’s.",
}
RATIOS = (
    "A ratio is held against those of one class, born close together, in one group and place on the eve, and measured"
    " on the same day; one alone has none."
)


@dataclass(frozen=True, slots=True)
class Line:
    """A measuring beside what its animal wears."""

    line: MeasuredLine
    worn: Worn

    @property
    def figures(self) -> list[Cell]:
        """The frame score, the size at 365 days and the ratio, each to one decimal."""
        return [_rounded(one) for one in (self.line.score, self.line.adjusted, self.line.ratio)]

    @property
    def remark(self) -> str:
        """Why nothing is adjusted, and what to know of what is."""
        ratio = [one.text for one in (self.line.ratio.cautions if self.line.ratio else ())]
        return " ".join(filter(None, [self.line.reason, *self.line.cautions, *ratio]))


@require_safe
@needs(Role.READER)
def sizes(request: OfficeRequest) -> HttpResponseBase:
    """The measurings between two days; `kind` asks for the one or the other."""
    outfit = request.outfit
    form = MeasuredForm(question_of(request), today=today_of(outfit))
    first, last = form.days()
    said: dict[str, Any] = form.cleaned_data if form.is_bound else {}
    kind, policies = said.get("kind") or HIP, policies_of(outfit)
    lines = measured(outfit, kind, first, last, policies)
    rules, own = say_windows(kind, policies.on(last).policy), say_own(policies.used(), MEASURED)
    way = asked_way(request)
    if way:
        title, about = f"{TITLES[kind]} {first} to {last}", f"{ABOUT[kind]} {rules} {RATIOS} {own}"
        return hand_out(request, way, Table(title, _columns(kind), _rows(outfit, lines, kind), about))
    page = page_of(request, lines)
    context = {
        "here": "reports",
        "form": form,
        "first": first,
        "last": last,
        "is_hip": kind == HIP,
        "title": TITLES[kind],
        "unit": UNIT_WORDS[kind],
        "page": page,
        "rows": list(_lines(outfit, page.rows)),
        "adjusted": sum(one.adjusted is not None for one in lines),
        "figures": list(_examples(lines)),
        "about": f"{ABOUT[kind]} {rules} {RATIOS}",
        "own": own,
    }
    return render(request, "office/reports/growth_measured.html", context)


def say_windows(kind: str, policy: Policy) -> str:
    """The ages at which a measuring is adjusted, and for circumferences the breeds that have a factor."""
    if kind == HIP:
        return f"A frame score holds from {say_value('frame_window', policy.frame_window)} of age."
    factors = say_value("scrotal_factors", policy.scrotal_factors)
    window = say_value("scrotal_window", policy.scrotal_window)
    return f"Taken from {window} of age; factors: {factors}. Other breeds have none."


def _rounded(figure: Figure | None) -> Cell:
    return figure.rounded(1) if figure else None


def _examples(lines: Sequence[MeasuredLine]) -> Iterator[ShownFigure]:
    """How each figure is made, shown on the first line that has the most of them."""
    best = max(lines, key=lambda one: (one.adjusted is not None, one.ratio is not None), default=None)
    if best is None:
        return
    named = (("Frame score", best.score), ("Size at 365 days", best.adjusted), ("Ratio", best.ratio))
    yield from (show_figure(name, figure) for name, figure in named if figure)


def _lines(outfit: Outfit, lines: Sequence[MeasuredLine]) -> Iterator[Line]:
    for some in in_steps(lines):
        worn = worn_by(outfit, [one.animal_id for one in some])
        yield from (Line(one, worn[one.animal_id]) for one in some)


def _columns(kind: str) -> Sequence[str]:
    score = ("Frame score",) if kind == HIP else ()
    start = ("Visual tag", "EID", "Class", "Breed", "Measured", "As entered", "Age, days")
    return *start, *score, f"At 365 days, {UNITS[kind]}", "Ratio", "Remark"


def _rows(outfit: Outfit, lines: Sequence[MeasuredLine], kind: str) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, lines):
        line = one.line
        named = (visual_tag(one.worn), one.worn.eid, line.kept.animal_class.value if line.kept else "", line.breed)
        entered = str(line.length) if line.length else ""
        figures = one.figures if kind == HIP else one.figures[1:]
        yield *named, line.day, entered, line.age_days, *figures, one.remark
