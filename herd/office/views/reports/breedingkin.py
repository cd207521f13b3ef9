"""Before bulls go out: how inbred the calves of each bull and each female of two groups would be."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_breeding import KinForm
from herd.office.tables import Cell, Table
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.breedingkin import GENERATIONS, Mating, matings_of, of_group
from herd.values.figures import round_half_up
from herd.values.inbreeding import SOURCE

COLUMNS = ("Bull", "Bull's EID", "Female", "Female's EID", "Calf inbred, %", "Ancestors known, %", "Too close")
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
    bulls = of_group(outfit, said["bulls"].pk, ("bull",))
    females = of_group(outfit, said["females"].pk, ("cow", "heifer"))
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
        "is_asked": True,
    }
    return render(request, "office/reports/breeding_kin.html", {**context, **shown})


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
