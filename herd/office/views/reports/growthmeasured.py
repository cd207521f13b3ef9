"""Frame scores and scrotal circumferences of a time, each with its size at 365 days and its ratio."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_growth import MeasuredForm
from herd.office.ownvalues import say_own
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.figurelines import (
    Behind,
    FigureLine,
    figure_line,
    question_for,
    say_figures,
    show_behind,
)
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.calving import Noted
from herd.reports.growthmeasured import HIP, SCROTAL, MeasuredLine, measured
from herd.reports.ownvalues import MEASURED
from herd.values.figures import Figure
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory
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
HEAD, MEASURINGS, ADJUSTED, NOT_ADJUSTED = "head-", "measurings", "adjusted", "not-adjusted"
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


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for, the measurings it comes to, and the values that were reckoned with."""

    form: MeasuredForm
    kind: str
    lines: Sequence[MeasuredLine]
    policies: PolicyHistory

    @property
    def about(self) -> str:
        """How the measure is taken and adjusted."""
        rules = say_windows(self.kind, self.policies.on(self.form.days()[1]).policy)
        return f"{ABOUT[self.kind]} {rules} {RATIOS}"

    @property
    def own(self) -> str:
        """Which values are the outfit's own."""
        return say_own(self.policies.used(), MEASURED)


@require_safe
@needs(Role.READER)
def sizes(request: OfficeRequest) -> HttpResponseBase:
    """The measurings between two days; `kind` asks for the one or the other."""
    outfit, asked = request.outfit, _asked(request)
    (first, last), kind, lines = asked.form.days(), asked.kind, asked.lines
    counts = list(_counts(lines, lambda what: question_for(request, what)).values())
    way = asked_way(request)
    if way:
        title, about = f"{TITLES[kind]} {first} to {last}", f"{say_figures(counts)} {asked.about} {asked.own}"
        return hand_out(request, way, Table(title, _columns(kind), _rows(outfit, lines, kind), about))
    page = page_of(request, lines)
    context = {
        "here": "reports",
        "form": asked.form,
        "first": first,
        "last": last,
        "is_hip": kind == HIP,
        "title": TITLES[kind],
        "unit": UNIT_WORDS[kind],
        "page": page,
        "rows": list(_lines(outfit, page.rows)),
        "counts": counts,
        "head_asked": question_for(request, HEAD),
        "about": asked.about,
        "own": asked.own,
    }
    return render(request, "office/reports/growth_measured.html", context)


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """What stands behind one figure: a count, or the figures of one head."""
    what = request.GET.get("what", "")
    if not what:
        return redirect("office:report-sizes")
    asked = _asked(request)
    counts, unit = _counts(asked.lines, lambda key: ""), UNITS[asked.kind]
    mine = [one for one in asked.lines if what == f"{HEAD}{one.animal_id}"]
    if what not in counts and not mine:
        raise Http404
    if mine:
        name, figures, noted = "Of one head", list(_figures(mine)), list(_around(asked.lines, mine, unit))
    else:
        chosen = [one for one in asked.lines if what == MEASURINGS or (one.adjusted is None) == (what == NOT_ADJUSTED)]
        name, figures, noted = counts[what].name, [counts[what]], [_noted(one, unit) for one in chosen]
    title = f"{TITLES[asked.kind]}: {name.lower()}, {' to '.join(map(say_day, asked.form.days()))}"
    report = (TITLES[asked.kind], reverse("office:report-sizes"))
    return show_behind(request, Behind(title, noted, report, f"{asked.about} {asked.own}", figures))


def _asked(request: OfficeRequest) -> Asked:
    form = MeasuredForm(question_of(request), today=today_of(request.outfit))
    days = form.days()
    said: dict[str, Any] = form.cleaned_data if form.is_bound else {}
    kind, policies = said.get("kind") or HIP, policies_of(request.outfit)
    return Asked(form, kind, measured(request.outfit, kind, *days, policies), policies)


def say_windows(kind: str, policy: Policy) -> str:
    """The ages at which a measuring is adjusted, and for circumferences the breeds that have a factor."""
    if kind == HIP:
        return f"A frame score holds from {say_value('frame_window', policy.frame_window)} of age."
    factors = say_value("scrotal_factors", policy.scrotal_factors)
    window = say_value("scrotal_window", policy.scrotal_window)
    return f"Taken from {window} of age; factors: {factors}. Other breeds have none."


def _rounded(figure: Figure | None) -> Cell:
    return figure.rounded(1) if figure else None


def _counts(lines: Sequence[MeasuredLine], question: Callable[[str], str]) -> dict[str, FigureLine]:
    """How many measurings there are and how many are adjusted; `question` leads to the animals."""
    adjusted = sum(one.adjusted is not None for one in lines)
    named = (
        (MEASURINGS, "Measurings", len(lines), "taken in this time"),
        (ADJUSTED, "Adjusted", adjusted, "of the age and class that the rules below name"),
        (NOT_ADJUSTED, "Not adjusted", len(lines) - adjusted, "the reason stands beside each"),
    )
    return {key: FigureLine(name, many, "", how, question=question(key)) for key, name, many, how in named}


def _figures(mine: Sequence[MeasuredLine]) -> Iterator[FigureLine]:
    """The figures of one head, each with its day where it was measured on several."""
    for one in mine:
        named = (("Frame score", one.score), ("Size at 365 days", one.adjusted), ("Ratio", one.ratio))
        when = f", {say_day(one.day)}" if len(mine) > 1 else ""
        yield from (figure_line(f"{name}{when}", figure) for name, figure in named if figure)


def _around(lines: Sequence[MeasuredLine], mine: Sequence[MeasuredLine], unit: str) -> Iterator[Noted]:
    """One head's measurings, and those it is compared with."""
    yield from (_noted(one, unit) for one in mine)
    for line in mine:
        others = {key for key in line.beside if key != line.animal_id}
        beside = (one for one in lines if one.day == line.day and one.animal_id in others)
        yield from (_noted(one, unit, "Kept alike. ") for one in beside)


def _noted(line: MeasuredLine, unit: str, before: str = "") -> Noted:
    said = f"{before}Measured {line.length}." if line.length else before
    adjusted = f"At 365 days {line.adjusted.rounded(1)} {unit}." if line.adjusted else line.reason
    return Noted(line.animal_id, line.day, f"{said} {adjusted}".strip())


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
