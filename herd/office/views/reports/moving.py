"""Moving and selling: animals and a journey come in, a verdict on each and the papers come out. Nothing is written."""

from collections import Counter
from collections.abc import Sequence
from uuid import UUID

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_moving import JOURNEY_FIELDS, MovingForm
from herd.office.selection import FIELD, Selection, selection_of
from herd.office.tables import Table
from herd.office.views.reports.journeypapers import PAPERS, WORDS, Sheet
from herd.registry.queries.headcount import members_on
from herd.registry.queries.whose import Told, whose
from herd.reports.journeys import Level, judge
from herd.values.movementrules import EXEMPT, RULES

SHOWN = 300
SENT = "journey"


@require_http_methods(["GET", "POST"])
@needs(Role.READER)
def moving(request: OfficeRequest) -> HttpResponseBase:
    """The form of a journey; posted, its animals judged, and with `as` one of its papers.

    Animals picked elsewhere come as `animals`; a request with nothing but them gets the form for them.
    """
    outfit = request.outfit
    picked = selection_of(request, outfit)
    is_sent = request.method == "POST" and SENT in request.POST
    form = MovingForm(
        request.POST if is_sent else None,
        request.FILES if is_sent else None,
        outfit=outfit,
        has_animals=bool(picked),
        initial={"group": request.GET.get("group") or None},
    )
    if not (is_sent and form.is_valid()):
        return render(request, "office/reports/moving.html", _context(form, picked))
    judged, untold = _animals(request, form, picked)
    sheet = Sheet(outfit, form.plan(), form.cleaned_data, list(judge(outfit, judged.ids, form.plan())))
    way = asked_way(request)
    if way:
        return hand_out(request, way, _paper(request, sheet))
    # A file can't be shown again in its field, so what was in it goes on as picked.
    context = _context(form, judged if request.FILES else picked)
    sent = [(name, request.POST[name]) for name in JOURNEY_FIELDS if name in request.POST]
    result = {**_result(sheet, untold), "judged": judged, "sent": sent}
    return render(request, "office/reports/moving.html", {**context, **result})


def _paper(request: OfficeRequest, sheet: Sheet) -> Table:
    make = PAPERS.get(request.GET.get("paper", "check"))
    if make is None:
        raise Http404
    return make(sheet)


def _animals(request: OfficeRequest, form: MovingForm, picked: Selection) -> tuple[Selection, Sequence[Told]]:
    """All animals that were given, each once, and the numbers that name none."""
    said, outfit = form.cleaned_data, request.outfit
    found = whose(outfit, said["numbers"], said["on"])
    members: Sequence[UUID] = members_on(outfit, said["group"].pk, said["on"]) if said["group"] else ()
    told = [one.animal_id for one in found if one.animal_id]
    untold = [one for one in found if one.animal_id is None]
    if not members and not told:
        return picked, untold
    return Selection(tuple(dict.fromkeys([*picked.ids, *members, *told]))), untold


def _context(form: MovingForm, picked: Selection) -> dict[str, object]:
    return {"here": "reports", "form": form, "picked": picked, "field": FIELD}


def _result(sheet: Sheet, untold: Sequence[Told]) -> dict[str, object]:
    order = list(Level)
    verdicts = sorted(sheet.verdicts, key=lambda one: order.index(one.level))
    levels = Counter(one.level for one in verdicts)
    rules = {one.need for one in verdicts if one.need}
    return {
        "sheet": sheet,
        "verdicts": [(one, WORDS[one.level], RULES[one.need].words if one.need else "") for one in verdicts[:SHOWN]],
        "more": max(0, len(verdicts) - SHOWN),
        "stops": levels[Level.STOP],
        "looks": levels[Level.LOOK],
        "ready": levels[Level.READY],
        "untold": untold,
        "exempt": EXEMPT.get(sheet.plan.journey) if sheet.plan.crosses_states else None,
        "rules": [RULES[one] for one in sorted(rules)],
    }
