"""Before bulls go out: how inbred the calves of each bull and each female of two groups would be."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import product
from typing import Any
from uuid import UUID

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_breeding import KinForm
from herd.office.tables import Cell, Table
from herd.office.views.reports.figurelines import Behind, figure_line, question_for, show_behind
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.breedingkin import GENERATIONS, Mating, figure_of, in_common, matings_of, of_group
from herd.reports.calving import Noted
from herd.values.figures import round_half_up
from herd.values.inbreeding import SOURCE

COLUMNS = ("Bull", "Bull's EID", "Female", "Female's EID", "Calf inbred, %", "Ancestors known, %", "Too close")
PAIR = "pair-"
ABOUT = (
    f"Half the relationship of bull and female. {SOURCE}; so where few of the calf's ancestors in {GENERATIONS}"
    " generations are known, the figure is too low."
)


@dataclass(frozen=True, slots=True)
class MatingLine:
    """A pair as it is shown, both figures in per cent."""

    mating: Mating
    bull: Worn
    female: Worn
    inbreeding: Decimal
    known: Decimal
    is_close: bool

    @property
    def key(self) -> str:
        """What the pair is asked for by."""
        return pair_key(self.mating.bull_id, self.mating.female_id)


@require_safe
@needs(Role.READER)
def kin(request: OfficeRequest) -> HttpResponseBase:
    """Every pair of two groups, the closest first."""
    outfit = request.outfit
    form = KinForm(question_of(request), outfit=outfit)
    context = {"here": "reports", "form": form, "about": ABOUT}
    if not form.is_valid():
        return render(request, "office/reports/breeding_kin.html", context)
    said = form.cleaned_data
    bulls, females = _sides(outfit, said)
    bound = Fraction(said["bound"]) / 100
    try:
        matings = matings_of(outfit, bulls, females)
    except ValueError as why:
        return render(request, "office/reports/breeding_kin.html", {**context, "why_not": str(why)})
    way = asked_way(request)
    if way:
        title = f"Bulls of {said['bulls']} with females of {said['females']}"
        about = f"Too close from {said['bound']} %. {ABOUT}"
        return hand_out(request, way, Table(title, COLUMNS, _rows(outfit, matings, bound), about))
    page = page_of(request, matings)
    shown = {
        "page": page,
        "lines": list(_lines(outfit, page.rows, bound)),
        "close": sum(one.inbreeding >= bound for one in matings),
        "bound": said["bound"],
        "bulls": len(bulls),
        "females": len(females),
        "first_page": question_for(request),
        "pair_asked": question_for(request, PAIR),
        "is_asked": True,
    }
    return render(request, "office/reports/breeding_kin.html", {**context, **shown})


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """What stands behind the figure of one pair: the ancestors that both have."""
    outfit, what = request.outfit, request.GET.get("what", "")
    form = KinForm(question_of(request), outfit=outfit)
    if not what or not form.is_valid():
        return redirect("office:report-breeding-kin")
    pairs = product(*_sides(outfit, form.cleaned_data))
    pair = next((pair for pair in pairs if what == f"{PAIR}{pair_key(*pair)}"), None)
    if pair is None:
        raise Http404
    bull, female = pair
    [mating] = matings_of(outfit, [bull], [female])
    worn = worn_by(outfit, pair)
    noted = [Noted(key, None, _steps(*steps)) for key, *steps in in_common(outfit, *pair)]
    line = figure_line("Calf inbred", figure_of(mating), 2)
    title = f"A calf of {worn[bull].name} and {worn[female].name}: ancestors of both"
    report = ("Before bulls go out", reverse("office:report-breeding-kin"))
    return show_behind(request, Behind(title, noted, report, ABOUT, [line]))


def pair_key(bull: UUID, female: UUID) -> str:
    """What a pair is asked for by."""
    return f"{bull}.{female}"


def _sides(outfit: Outfit, said: Mapping[str, Any]) -> tuple[list[UUID], list[UUID]]:
    """The bulls of the one group and the females of the other."""
    return of_group(outfit, said["bulls"].pk, ("bull",)), of_group(outfit, said["females"].pk, ("cow", "heifer"))


def _steps(above_bull: int, above_female: int) -> str:
    named = (("the bull", above_bull), ("the female", above_female))
    said = [f"{steps} generation{'s' * (steps != 1)} above {name}" if steps else f"is {name}" for name, steps in named]
    return f"{said[0].capitalize()}, {said[1]}."


def _lines(outfit: Outfit, matings: Sequence[Mating], bound: Fraction) -> Iterator[MatingLine]:
    for some in in_steps(matings):
        worn = worn_by(outfit, {key for one in some for key in (one.bull_id, one.female_id)})
        for one in some:
            inbreeding, known = round_half_up(one.inbreeding * 100, 2), round_half_up(one.known * 100)
            yield MatingLine(
                one, worn[one.bull_id], worn[one.female_id], inbreeding, known, one.inbreeding >= bound
            )


def _rows(outfit: Outfit, matings: Sequence[Mating], bound: Fraction) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, matings, bound):
        bull, female = (visual_tag(one.bull), one.bull.eid), (visual_tag(one.female), one.female.eid)
        yield *bull, *female, one.inbreeding, one.known, "too close" if one.is_close else ""
