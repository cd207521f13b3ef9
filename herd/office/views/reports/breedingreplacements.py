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
from herd.office.views.reports.figurelines import FIGURES, Behind, FigureLine, question_for, show_behind
from herd.office.views.reports.paging import question_of
from herd.office.views.reports.shares import share_line, share_noted
from herd.registry.queries.policies import policies_of
from herd.reports.breedingreplacements import COUNTS, Replacements, replacements_of
from herd.reports.calving import Noted
from herd.reports.ownvalues import DUE
from herd.values.policyhistory import PolicyHistory
from herd.values.reproduction import MEASURES

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
# The rates of a time, and what a rate lacks that is not known.
RATES = {
    "replacement": "say on which day the bulls went in",
    "turnover": "no cow was there at the start",
}
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
    counts = [_count(request, found, key) for key in COUNTS if key != "exposed" or found.has_exposed]
    rates, own = list(_rates(request, found).values()), say_own(policies.used(), DUE)
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
    """The animals behind one count or rate."""
    what = request.GET.get("what", "")
    if not what:
        return redirect("office:report-replacements")
    if what not in {*COUNTS, *RATES}:
        raise Http404
    form, policies = _form(request), policies_of(request.outfit)
    first, last = form.days()
    found = _found(request, form, policies)
    line = _count(request, found, what) if what in COUNTS else _rates(request, found)[what]
    title = f"{line.name}, {say_day(first)} to {say_day(last)}"
    about = f"{ABOUT} {say_own(policies.used(), DUE)}"
    back = ("Replacements", reverse("office:report-replacements"))
    return show_behind(request, Behind(title, _noted(found, what), back, about, [line]))


def _form(request: OfficeRequest) -> ReplacementForm:
    return ReplacementForm(question_of(request), today=today_of(request.outfit))


def _found(request: OfficeRequest, form: ReplacementForm, policies: PolicyHistory) -> Replacements:
    bulls_in = form.cleaned_data.get("bulls_in") if form.is_bound and form.is_valid() else None
    return replacements_of(request.outfit, *form.days(), bulls_in, policies)


def _count(request: OfficeRequest, found: Replacements, key: str) -> FigureLine:
    return FigureLine(COUNTS[key], found.many(key), "head", HOW[key], question=question_for(request, key))


def _rates(request: OfficeRequest, found: Replacements) -> dict[str, FigureLine]:
    return {
        one.code: share_line(one, found.cohort, question_for(request, one.code), RATES[one.code])
        for one in MEASURES
        if one.code in RATES
    }


def _noted(found: Replacements, what: str) -> list[Noted]:
    if what in COUNTS:
        return found.behind[what]
    measure = next(one for one in MEASURES if one.code == what)
    # A time has no bred females bought and none that left, so those exposed are the adjusted ones.
    return share_noted(measure, {**found.behind, "counted": found.behind["exposed"]})
