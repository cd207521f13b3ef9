"""The calving of a season: calves by period, days between calvings, females without a calf."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_breeding import CalvingForm
from herd.office.ownvalues import say_own
from herd.office.saying import say_day
from herd.office.tables import Table
from herd.office.today import today_of
from herd.office.views.reports.calvingplot import plot_of_calves
from herd.office.views.reports.figurelines import (
    FIGURES,
    Behind,
    FigureLine,
    figure_line,
    question_for,
    show_behind,
)
from herd.office.views.reports.paging import question_of
from herd.registry.queries.policies import policies_of
from herd.reports.calving import ALL, Noted, Season, season_of
from herd.reports.calvinglate import EXPECTED, NO_WORD, OPEN, PAST_DUE, females_by_word
from herd.reports.calvingspread import spread_of_season
from herd.reports.ownvalues import CALVING, DUE
from herd.values.calvingperiods import Distribution, Period
from herd.values.figures import round_half_up
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory

PERIOD, DAY, INTERVALS = "period-", "day-", "intervals"
GROUPS = {
    OPEN: ("Checked open", "females on hand whose last check found them open, not served since"),
    PAST_DUE: ("Past the latest usual day", "females on hand that were pregnant or served and have not calved"),
    EXPECTED: ("Still expected", "females on hand that are pregnant or served and not past due"),
    NO_WORD: ("Cows with no word", "cows on hand without a calf in the season, not served or checked since their last"),
}
ABOUT = "A calving counts by its event, or by the birthday of a calf whose dam is known; twins are one calving."


@dataclass(frozen=True, slots=True)
class Asked:
    """What the form asks for, and the season it comes to; `why_not` says why there are no periods."""

    form: CalvingForm
    every: Season
    season: Season
    spread: Distribution | None
    why_not: str
    policies: PolicyHistory

    @property
    def policy(self) -> Policy:
        """The values in force on the season's last day."""
        return self.policies.on(self.season.last).policy

    @property
    def source(self) -> str:
        """Where the periods and day 1 come from."""
        return f"{self.policy.source_of('calving_periods')}; day 1: {self.policy.source_of('calving_start')}"

    @property
    def own(self) -> str:
        """Which values are the outfit's own."""
        return say_own(self.policies.used(), (*CALVING, *DUE))


@require_safe
@needs(Role.READER)
def calving(request: OfficeRequest) -> HttpResponseBase:
    """The figures of a season."""
    asked = _asked(request)
    words = females_by_word(request.outfit, asked.every, asked.policies)
    late = [_late(request, words, key) for key in GROUPS]
    periods = [replace(line, question=question_for(request, f"{PERIOD}{place}")) for place, line in _periods(asked)]
    interval = _interval(request, asked)
    way = asked_way(request)
    if way:
        title = f"Calving, {asked.season.first} to {asked.season.last}"
        rows = [one.row for one in (*periods, interval, *late)]
        return hand_out(request, way, Table(title, FIGURES, rows, _about(asked)))
    context = {
        "here": "reports",
        "form": asked.form,
        "season": asked.season,
        "spread": asked.spread,
        "why_not": asked.why_not,
        "cautions": [one.text for one in asked.spread.cautions] if asked.spread else [],
        "periods": periods,
        "figures": [interval, *late],
        "is_empty": not asked.every.dams and not any(words.values()),
        "about": f"{asked.source}. {ABOUT}",
        "own": asked.own,
        "plot": plot_of_calves(asked.season, lambda day: _address(request, f"{DAY}{day}")),
    }
    return render(request, "office/reports/calving.html", context)


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """The animals behind one figure of the season."""
    what = request.GET.get("what", "")
    if not what:
        return redirect("office:report-calving")
    asked = _asked(request)
    line, noted = _behind(request, asked, what)
    title = f"{line.name}, {say_day(asked.season.first)} to {say_day(asked.season.last)}"
    back = ("Calving", reverse("office:report-calving"))
    return show_behind(request, Behind(title, noted, back, _about(asked), [line]))


def _asked(request: OfficeRequest) -> Asked:
    outfit, policies, today = request.outfit, policies_of(request.outfit), today_of(request.outfit)
    form = CalvingForm(question_of(request), today=today, policies=policies)
    every = season_of(outfit, *form.days())
    season = every.narrowed(form.said("who", ALL))
    policy = replace(policies.on(every.last).policy, calving_start=form.start_rule())
    spread, why_not = spread_of_season(season, policy, form.said("bred", None))
    return Asked(form, every, season, spread, why_not, policies)


def _periods(asked: Asked) -> Iterator[tuple[int, FigureLine]]:
    spread = asked.spread
    for place, one in enumerate(spread.periods if spread else ()):
        share = f"{round_half_up(one.share, 1)} % of {spread.calves if spread else 0} calves born"
        yield place, FigureLine(_name(one), one.calves, "calves", share)


def _name(one: Period) -> str:
    if one.last is None:
        return f"Day {one.first} and later, from {say_day(one.starts_on)}"
    until = one.starts_on + timedelta(days=one.last - one.first)
    return f"Days {one.first} to {one.last}, {say_day(one.starts_on)} to {say_day(until)}"


def _address(request: OfficeRequest, what: str) -> str:
    return f"{reverse('office:report-calving-animals')}?{question_for(request, what)}"


def _interval(request: OfficeRequest, asked: Asked) -> FigureLine:
    figure, name = asked.season.interval(asked.policy), "Mean calving interval"
    if figure is None:
        return FigureLine(name, None, "days", "no cow of the season has an earlier calving in the record")
    return figure_line(name, figure, question=question_for(request, INTERVALS))


def _about(asked: Asked) -> str:
    spread = asked.spread
    start = f"Day 1 is {say_day(spread.start.day)}, {spread.start.words}. {asked.source}." if spread else asked.why_not
    return " ".join([start, *(one.text for one in (spread.cautions if spread else ())), ABOUT, asked.own])


def _late(request: OfficeRequest, words: Mapping[str, Sequence[Noted]], key: str) -> FigureLine:
    name, how = GROUPS[key]
    return FigureLine(name, len(words[key]), "head", how, question=question_for(request, key))


def _behind(request: OfficeRequest, asked: Asked, what: str) -> tuple[FigureLine, Sequence[Noted]]:
    """The figure that is asked for and its animals; Http404 where none is called so."""
    season = asked.season
    if what == INTERVALS:
        return _interval(request, asked), season.intervals(asked.policy)
    if what in GROUPS:
        words = females_by_word(request.outfit, asked.every, asked.policies)
        return _late(request, words, what), words[what]
    for day, births in season.by_day().items():
        if what == f"{DAY}{day}":
            how = f"{births.live} live and {births.dead} dead"
            return FigureLine(f"Calved on {say_day(day)}", births.total, "calves", how), season.on_day(day)
    for place, line in _periods(asked):
        if asked.spread and what == f"{PERIOD}{place}":
            return line, season.in_period(asked.spread, place)
    raise Http404
