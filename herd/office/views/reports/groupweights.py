"""The last weights of each group, and how they are spread."""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports import A_YEAR, PeriodForm
from herd.office.plots import FIVE, boxes
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.figurelines import Behind, FigureLine, question_for, show_behind
from herd.office.views.reports.paging import question_of
from herd.reports.calving import Noted
from herd.reports.weightspread import GroupWeights, weights_by_group
from herd.values.figures import round_half_up
from herd.values.spread import SOURCE

WEIGHED, NOT_WEIGHED = "weighed", "not-weighed"
ABOUT = (
    "The last weight of each head that was in the group on the last day, weights of birth left out. Half of the head"
    f" lie between the quarters. {SOURCE}. Weights of different days, or with other fill, can't be compared closely."
)


@require_safe
@needs(Role.READER)
def weights(request: OfficeRequest) -> HttpResponseBase:
    """Each group with its lowest, middle and highest weight and the quarters."""
    form, (first, last) = _days(request)
    unit = request.outfit.weight_unit
    found = weights_by_group(request.outfit, first, last)
    way = asked_way(request)
    if way:
        columns = ("Group", "Head", "Weighed", *(f"{name.capitalize()}, {unit}" for name in FIVE))
        rows = [_row(one) for one in found]
        return hand_out(request, way, Table(f"Weights by group, {first} to {last}", columns, rows, ABOUT))
    address = reverse("office:report-weights-animals")
    weighed = {one.group.name: one.spread for one in found if one.spread}
    behind = {one.group.name: f"{address}?{_questions(request, one)[0]}" for one in found}
    says = f"Spread of the last weights of {len(weighed)} group{'s' if len(weighed) != 1 else ''}."
    context = {
        "here": "reports",
        "form": form,
        "first": first,
        "last": last,
        "unit": unit,
        "five": FIVE,
        "rows": [(one, _five(one), *_questions(request, one)) for one in found],
        "plot": boxes("spread", f"Last weights by group, {unit}", says, weighed, unit, behind) if weighed else None,
        "about": ABOUT,
    }
    return render(request, "office/reports/group_weights.html", context)


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """The animals behind the figures of a group: those weighed, or those that were not."""
    if "group" not in request.GET:
        return redirect("office:report-weights")
    _, (first, last) = _days(request)
    found = {str(one.group.pk): one for one in weights_by_group(request.outfit, first, last)}
    one, what = found.get(request.GET.get("group", "")), request.GET.get("what", "")
    if one is None or what not in {WEIGHED, NOT_WEIGHED}:
        raise Http404
    word = "weighed" if what == WEIGHED else "not weighed"
    title = f"{one.group.name}, {word}, {say_day(first)} to {say_day(last)}"
    unit, back = request.outfit.weight_unit, ("Weights by group", reverse("office:report-weights"))
    noted = _noted(one, unit) if what == WEIGHED else _without(one, first)
    figures = list(_figures(one, unit)) if what == WEIGHED else []
    return show_behind(request, Behind(title, noted, back, ABOUT, figures))


def _days(request: OfficeRequest) -> tuple[PeriodForm, tuple[date, date]]:
    today = today_of(request.outfit)
    form = PeriodForm(question_of(request), today=today, since=today - A_YEAR)
    return form, form.days()


def _questions(request: OfficeRequest, one: GroupWeights) -> tuple[str, str]:
    group = f"group={one.group.pk}"
    return f"{question_for(request, WEIGHED)}&{group}", f"{question_for(request, NOT_WEIGHED)}&{group}"


def _row(one: GroupWeights) -> Sequence[Cell]:
    return one.group.name, len(one.members), len(one.weights), *_five(one)


def _five(one: GroupWeights) -> list[Decimal] | list[None]:
    spread = one.spread
    figures = (spread.low, spread.lower, spread.middle, spread.upper, spread.high) if spread else ()
    return [round_half_up(figure, 1) for figure in figures] or [None] * len(FIVE)


def _figures(one: GroupWeights, unit: str) -> Iterator[FigureLine]:
    for name, figure in zip(FIVE, _five(one), strict=True):
        how = f"of the {len(one.weights)} weights below, in order"
        yield FigureLine(name.capitalize(), figure, unit, how, SOURCE if "quarter" in name else "")


def _noted(one: GroupWeights, unit: str) -> list[Noted]:
    """The head with a weight, the heaviest in front."""
    ordered = sorted(one.weights.items(), key=lambda pair: (-pair[1][1], pair[0]))
    return [Noted(key, on, f"{round_half_up(weight, 1)} {unit}") for key, (on, weight) in ordered]


def _without(one: GroupWeights, first: date) -> list[Noted]:
    return [Noted(key, None, f"no weight since {say_day(first)}") for key in one.not_weighed]
