"""Replacements of a time: cows gone, females that took their place, heifers kept, and the rates of both kinds."""

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_breeding import ReplacementForm
from herd.office.ownvalues import say_own
from herd.office.saying import say_day
from herd.office.tables import Table
from herd.office.today import today_of
from herd.office.views.reports.breedinglines import FIGURES, FigureLine, figure_line, question_for, show_animals
from herd.office.views.reports.paging import question_of
from herd.registry.queries.policies import policies_of
from herd.reports.breedingreplacements import COUNTS, Replacements, replacements_of
from herd.reports.ownvalues import DUE
from herd.values.policyhistory import PolicyHistory
from herd.values.reproduction import MEASURES, measure

HOW = {
    "opening": "on hand at the end of the day before the first",
    "gone": "of these, no longer on hand on the last day: open, aged, culled, sold or dead",
    "joined": "cows on the last day that were no cows before the first: heifers that calved, and cows bought",
    "closing": "on hand at the end of the last day",
    "kept": "on hand on the last day",
    "bred": "of these, found pregnant or served by the last day",
    "open": "of these, last checked open and not served since",
    "no_word": "of these",
    "exposed": "cows and heifers of a year or more on hand on the day the bulls went in",
}
RATES = ("replacement", "turnover")
ABOUT = (
    "Sources disagree on what a replacement rate is, so both stand here, each under its own name: females that joined"
    " of those exposed, and cows gone of the cows at the start. They can’t be compared with each other."
)


@require_safe
@needs(Role.READER)
def replacements(request: OfficeRequest) -> HttpResponseBase:
    """The counts and rates between two days."""
    form, policies = _form(request), policies_of(request.outfit)
    first, last = form.days()
    found = _found(request, form, policies)
    counts = [
        FigureLine(name, found.many(key), "head", HOW[key], question=question_for(request, key))
        for key, name in COUNTS.items()
        if key != "exposed" or found.has_exposed
    ]
    rates, own = _rates(found), say_own(policies.used(), DUE)
    way = asked_way(request)
    if way:
        rows = [one.row for one in (*counts, *rates)]
        return hand_out(request, way, Table(f"Replacements, {first} to {last}", FIGURES, rows, f"{ABOUT} {own}"))
    context = {
        "here": "reports",
        "form": form,
        "first": first,
        "last": last,
        "tables": [("Counts", counts), ("Rates", rates)],
        "is_empty": not any(found.behind.values()),
        "about": ABOUT,
        "own": own,
    }
    return render(request, "office/reports/replacements.html", context)


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """The animals behind one count."""
    what = request.GET.get("what", "")
    if not what:
        return redirect("office:report-replacements")
    if what not in COUNTS:
        raise Http404
    form = _form(request)
    first, last = form.days()
    noted = _found(request, form, policies_of(request.outfit)).behind[what]
    title = f"{COUNTS[what]}, {say_day(first)} to {say_day(last)}"
    return show_animals(request, title, noted, ("Replacements", reverse("office:report-replacements")), ABOUT)


def _form(request: OfficeRequest) -> ReplacementForm:
    return ReplacementForm(question_of(request), today=today_of(request.outfit))


def _found(request: OfficeRequest, form: ReplacementForm, policies: PolicyHistory) -> Replacements:
    bulls_in = form.cleaned_data.get("bulls_in") if form.is_bound and form.is_valid() else None
    return replacements_of(request.outfit, *form.days(), bulls_in, policies)


def _rates(found: Replacements) -> list[FigureLine]:
    lines = []
    for one in MEASURES:
        if one.code in RATES:
            figure, name = measure(found.cohort, one.code), one.words.capitalize()
            why = f"{one.top[0]} / {one.bottom[0]}: say on which day the bulls went in"
            if one.code == "turnover":
                why = f"{one.top[0]} / {one.bottom[0]}: no cow was there at the start"
            lines.append(figure_line(name, figure) if figure else FigureLine(name, None, "%", why, one.source))
    return lines
