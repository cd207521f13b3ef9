"""The rates of a breeding season, from the females exposed to the calves weaned."""

from collections.abc import Sequence

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_breeding import ExposureForm
from herd.office.ownvalues import say_own
from herd.office.saying import say_day
from herd.office.tables import Table
from herd.office.today import today_of
from herd.office.views.reports.figurelines import (
    FIGURES,
    Behind,
    FigureLine,
    figure_line,
    question_for,
    show_behind,
)
from herd.office.views.reports.paging import question_of
from herd.office.views.reports.shares import share_line, share_noted
from herd.registry.queries.policies import policies_of
from herd.reports.breeding import COUNTS, Exposure, Rates, exposure_of, rates_of
from herd.reports.calving import Noted
from herd.reports.ownvalues import EXPOSED
from herd.values.mass import WeightUnit
from herd.values.policyhistory import PolicyHistory
from herd.values.reproduction import MEASURES, Basis, Cohort, mean_weaning_weight, weight_weaned_per_exposed

# These need counts of a whole year, which no season has.
OF_A_YEAR = frozenset({"replacement", "turnover"})
PER_EXPOSED, MEAN = "weight-weaned", "mean-weight"
HOW = {
    "exposed": "cows and heifers of a year or more on hand on the day the bulls went in",
    "left": "died, sold, moved away or missing before calving; those found open and sold stay in the divisor",
    "bought": "bought after the bulls went in, and found pregnant or calved since",
    "counted": "exposed - left before calving + bred females bought",
    "pregnant": "of the adjusted: checked pregnant since the bulls went in, or proved so by a calf",
    "unknown": "of the adjusted: whether they were pregnant is not known",
    "lost": "checked pregnant, and no calf when calving was over",
    "calved": "of the adjusted: calved in the days in which a calf of these bulls can come",
    "born_dead": "of the dams that calved",
    "died": "calves of these dams that were born alive and are dead without a weaning",
    "weaned": "calves of these dams with a weaning, or a weight with the purpose weaning",
    "unweighed": "of the calves weaned",
    "no_word": "calves of these dams that are in the record; those sold without a weaning are among them",
}
ABOUT = (
    "Rates on exposed females have the adjusted exposed females as divisor; stage by stage each has the stage before."
)


@require_safe
@needs(Role.READER)
def breeding(request: OfficeRequest) -> HttpResponseBase:
    """The counts and rates of an exposure."""
    form, policies = _form(request), policies_of(request.outfit)
    asked = _exposure(form, policies)
    if asked is None:
        return render(request, "office/reports/breeding.html", {"here": "reports", "form": form})
    rates, unit = rates_of(request.outfit, asked), request.outfit.unit
    counts = [_count(request, rates, key) for key in COUNTS]
    exposed, stages = (_measures(request, rates.cohort, basis) for basis in Basis)
    weights = _weights(request, rates, unit)
    span = f"bulls in {say_day(asked.bulls_in)} to {say_day(asked.bulls_out)}"
    own, way = say_own(policies.used(), EXPOSED), asked_way(request)
    if way:
        rows = [one.row for one in (*counts, *exposed, *weights, *stages)]
        about = " ".join([*rates.remarks, ABOUT, f"Counted up to {say_day(asked.until)}.", own])
        return hand_out(request, way, Table(f"Breeding, {span}", FIGURES, rows, about))
    context = {
        "here": "reports",
        "form": form,
        "exposure": asked,
        "rates": rates,
        "tables": [
            ("Counts", counts),
            ("On adjusted exposed females", [*exposed, *weights]),
            ("Stage by stage, each on the one before", stages),
        ],
        "is_empty": not rates.many("exposed"),
        "about": ABOUT,
        "own": own,
    }
    return render(request, "office/reports/breeding.html", context)


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """The animals behind one count or rate."""
    policies, what = policies_of(request.outfit), request.GET.get("what", "")
    asked = _exposure(_form(request), policies)
    if asked is None:
        return redirect("office:report-breeding")
    rates = rates_of(request.outfit, asked)
    line, noted = _behind(request, rates, what)
    title = f"{line.name}, bulls in {say_day(asked.bulls_in)} to {say_day(asked.bulls_out)}"
    about = f"{ABOUT} {say_own(policies.used(), EXPOSED)}"
    back = ("Breeding", reverse("office:report-breeding"))
    return show_behind(request, Behind(title, noted, back, about, [line]))


def _form(request: OfficeRequest) -> ExposureForm:
    return ExposureForm(question_of(request), today=today_of(request.outfit), outfit=request.outfit)


def _exposure(form: ExposureForm, policies: PolicyHistory) -> Exposure | None:
    if not form.is_valid():
        return None
    said = form.cleaned_data
    group, until = said["group"], said["until"] or form.today
    return exposure_of(policies, said["bulls_in"], said["bulls_out"], until, group.pk if group else None)


def _count(request: OfficeRequest, rates: Rates, key: str) -> FigureLine:
    return FigureLine(COUNTS[key], rates.many(key), "head", HOW[key], question=question_for(request, key))


def _measures(request: OfficeRequest, cohort: Cohort | None, basis: Basis) -> list[FigureLine]:
    asked = (one for one in MEASURES if one.basis is basis and one.code not in OF_A_YEAR)
    return [share_line(one, cohort, question_for(request, one.code)) for one in asked]


def _weights(request: OfficeRequest, rates: Rates, unit: WeightUnit) -> Sequence[FigureLine]:
    name, cohort = "Weight weaned per exposed female", rates.cohort
    figure = weight_weaned_per_exposed(cohort, unit=unit) if cohort else None
    if figure is None or cohort is None:
        return [FigureLine(name, None, f"{unit}", "no weaning weight is recorded, or nobody was exposed")]
    lines = [figure_line(name, figure, question=question_for(request, PER_EXPOSED))]
    mean = mean_weaning_weight(cohort, unit=unit)
    if mean and not rates.many("unweighed"):
        lines.append(figure_line("Mean weaning weight", mean, question=question_for(request, MEAN)))
    return lines


def _behind(request: OfficeRequest, rates: Rates, what: str) -> tuple[FigureLine, Sequence[Noted]]:
    """The figure that is asked for and its animals; Http404 where none is called so."""
    if what in COUNTS:
        return _count(request, rates, what), rates.behind[what]
    one = next((one for one in MEASURES if one.code == what and what not in OF_A_YEAR), None)
    if one:
        return share_line(one, rates.cohort), share_noted(one, rates.behind)
    lines = dict(zip((PER_EXPOSED, MEAN), _weights(request, rates, request.outfit.unit), strict=False))
    if what not in lines:
        raise Http404
    return lines[what], [*rates.behind["weaned"], *(rates.behind["counted"] if what == PER_EXPOSED else ())]
