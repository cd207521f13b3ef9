"""The gain of a group, of a kept list, or of picked animals between two days."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any
from uuid import UUID

from django.http import Http404
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports_growth import GainForm
from herd.office.ownvalues import say_own
from herd.office.plots import Plot, boxes
from herd.office.saying import say_day
from herd.office.selection import FIELD, Selection, all_that_match, selection_of
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.figurelines import Behind, question_for, say_figures, show_behind
from herd.office.views.reports.growthbehind import (
    GAINED,
    HEAD,
    gain_figures,
    gain_noted,
    head_figures,
    head_noted,
    line_of,
    round_weight,
)
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.growth import GainLine, GroupGain, Stretch, gain_of, stretches_of
from herd.reports.ownvalues import GAIN
from herd.values.figures import round_half_up
from herd.values.policyhistory import PolicyHistory
from herd.values.spread import spread_of

ABOUT = (
    "From the first weight in this time to the last one; while it ran in the group, where a group is asked for. What"
    " was given as a weight of birth, weaning or sale counts like any other. Fill, shrink and the scale move a weight:"
    " compare weights taken alike."
)


@dataclass(frozen=True, slots=True)
class Line:
    """A gain beside what its animal wears."""

    gain: GainLine
    worn: Worn

    @property
    def weights(self) -> list[tuple[date, Decimal] | None]:
        """The first and the last weight with their days, as they are shown; None where there is none."""
        both = (self.gain.first, self.gain.last)
        return [(one.day, round_weight(one.weight)) if one else None for one in both]

    @property
    def days(self) -> int | None:
        """Days from the first to the last weight."""
        first, last = self.gain.first, self.gain.last
        return (last.day - first.day).days if first and last else None

    @property
    def rates(self) -> list[Decimal | None]:
        """The daily gain and the weight per day of age, to hundredths."""
        return [one.rounded(2) if one else None for one in (self.gain.per_day, self.gain.per_day_of_age)]

    @property
    def remark(self) -> str:
        """What there is to know of the gain, in a sentence; empty where nothing speaks against it."""
        if self.gain.reason:
            return self.gain.reason
        if self.gain.died_on:
            return "Died; it counts with the dead in only."
        return " ".join(one.text for one in self.gain.per_day.cautions) if self.gain.per_day else ""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: the form, the animals picked, the days; and the gain of those named, None for nobody."""

    form: GainForm
    picked: Selection
    policies: PolicyHistory
    name: str = ""
    found: GroupGain | None = None

    @property
    def own(self) -> str:
        """Which values are the outfit's own."""
        return say_own(self.policies.used(), GAIN)


@require_http_methods(["GET", "POST"])
@needs(Role.READER)
def gain(request: OfficeRequest) -> HttpResponseBase:
    """The gain of each animal and of all together; animals picked elsewhere are posted as `animals`."""
    outfit, asked = request.outfit, _asked(request)
    first, last = asked.form.days()
    context = {
        **{"here": "reports", "form": asked.form, "picked": asked.picked, "field": FIELD},
        **{"first": first, "last": last},
    }
    found = asked.found
    if found is None:
        return render(request, "office/reports/growth.html", context)
    way = asked_way(request)
    if way:
        return hand_out(request, way, _table(outfit, f"Gain of {asked.name}, {first} to {last}", found, asked.own))
    page = page_of(request, found.lines)
    shown = {
        "name": asked.name,
        "found": found,
        "page": page,
        "lines": list(_lines(outfit, page.rows)),
        "head_asked": question_for(request, HEAD),
        "figures": list(gain_figures(found, lambda what: question_for(request, what)).values()),
        "plot": _plot(request, found, is_picked=bool(asked.picked)),
        "unit": outfit.weight_unit,
        "about": ABOUT,
        "own": asked.own,
        "short_spans": sorted({one.policy.fill_caution for one in asked.policies.used() or [asked.policies.on(last)]}),
    }
    return render(request, "office/reports/growth.html", {**context, **shown})


@require_http_methods(["GET", "POST"])
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """What stands behind one figure of the gain, of all or of one head."""
    asked, what = _asked(request), request.GET.get("what", "")
    found, unit = asked.found, request.outfit.weight_unit
    if found is None or not what:
        return redirect("office:report-gain")
    span = f"{asked.name}, {' to '.join(map(say_day, asked.form.days()))}"
    report, line = ("Gain", reverse("office:report-gain")), line_of(found, what)
    if line:
        worn = worn_by(request.outfit, [line.animal_id])[line.animal_id]
        title, figures, noted = f"Gain of {worn.name} in {span}", head_figures(line), list(head_noted(line, unit))
    else:
        lines = gain_figures(found, lambda key: "")
        if what not in lines:
            raise Http404
        title, figures, noted = f"{lines[what].name}, {span}", [lines[what]], gain_noted(found, what, unit)
    return show_behind(request, Behind(title, noted, report, f"{ABOUT} {asked.own}", figures, asked.picked))


def _asked(request: OfficeRequest) -> Asked:
    outfit, today = request.outfit, today_of(request.outfit)
    picked, policies = selection_of(request, outfit), policies_of(outfit)
    data = request.POST if "since" in request.POST else None if picked else question_of(request)
    form = GainForm(data, today=today, outfit=outfit, has_picks=bool(picked))
    named = _named(outfit, form, picked)
    if named is None:
        return Asked(form, picked, policies)
    name, stretches = named
    return Asked(form, picked, policies, name, gain_of(outfit, stretches, policies))


def _named(outfit: Outfit, form: GainForm, picked: Selection) -> tuple[str, Mapping[UUID, Stretch]] | None:
    """What the animals are called together, and the days of each; None where nobody is asked for."""
    first, last = form.days()
    span = Stretch(first, last)
    if picked:
        return f"{len(picked)} picked", dict.fromkeys(picked.ids, span)
    said: Mapping[str, Any] = form.cleaned_data if form.is_bound else {}
    if said.get("group"):
        return said["group"].name, stretches_of(outfit, said["group"].pk, first, last)
    if said.get("kept"):
        return said["kept"].name, dict.fromkeys(all_that_match(outfit, said["kept"].question).ids, span)
    return None


def _plot(request: OfficeRequest, found: GroupGain, *, is_picked: bool) -> Plot | None:
    """How the first and the last weights of those with a gain are spread; None where nobody has one."""
    both = ((one.first, one.last) for one in found.lines if one.per_day and not one.died_on)
    pairs = [(Fraction(first.weight), Fraction(last.weight)) for first, last in both if first and last]
    if not pairs:
        return None
    unit = request.outfit.weight_unit
    named = (("First weight", [pair[0] for pair in pairs]), ("Last weight", [pair[1] for pair in pairs]))
    spreads = {name: spread_of(some) for name, some in named}
    middles = [f"{name.lower()} {round_half_up(one.middle, 1)} {unit}" for name, one in spreads.items()]
    says = f"Spread of the weights of {len(pairs)} head with a gain; in the middle {' and '.join(middles)}."
    # Those picked may be too many for an address.
    behind = f"{reverse('office:report-gain-animals')}?{question_for(request, GAINED)}"
    addresses = None if is_picked else dict.fromkeys(spreads, behind)
    return boxes("spread", "Spread of the weights", says, spreads, unit, addresses)


def _lines(outfit: Outfit, gains: Sequence[GainLine]) -> Iterator[Line]:
    for some in in_steps(gains):
        worn = worn_by(outfit, [one.animal_id for one in some])
        yield from (Line(one, worn[one.animal_id]) for one in some)


def _table(outfit: Outfit, title: str, found: GroupGain, own: str) -> Table:
    unit = outfit.weight_unit
    columns = (
        *("Visual tag", "EID", "First weighed", f"First weight, {unit}", "Last weighed", f"Last weight, {unit}"),
        *("Days", f"Gain, {unit} a day", f"Weight per day of age, {unit}", "Died", "Remark"),
    )
    sums = say_figures(gain_figures(found, lambda what: "").values())
    return Table(title, columns, _rows(outfit, found.lines), f"{sums} {ABOUT} {own}")


def _rows(outfit: Outfit, gains: Sequence[GainLine]) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, gains):
        weighed = [cell for pair in one.weights for cell in (pair or (None, None))]
        yield visual_tag(one.worn), one.worn.eid, *weighed, one.days, *one.rates, one.gain.died_on, one.remark
