"""Weaning and yearling weights of a calf crop: calf by calf, by contemporary group, and by dam."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
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
from herd.office.forms.reports_growth import CalvesForm
from herd.office.ownvalues import say_own
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.figurelines import Behind, question_for, say_figures, show_behind
from herd.office.views.reports.growthcalvesbehind import (
    CALF,
    COMPARED,
    DAM,
    GROUP,
    STAGES,
    behind_crop,
    crop_counts,
    group_key,
)
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.queries.policies import policies_of
from herd.registry.queries.tags import Worn, worn_by
from herd.reports.growthadjusted import CalfCrop, CalfLine, DamLine, GroupLine, calf_crop
from herd.reports.growthcalves import WEANING, YEARLING
from herd.reports.ownvalues import ADJUSTED
from herd.values.figures import Figure, round_half_up
from herd.values.mass import WeightUnit
from herd.values.policy import Policy
from herd.values.policyhistory import PolicyHistory
from herd.values.policyvalues import say_value

ABOUT = (
    "Adjusted to 205 and 365 days of age and to a mature dam, by the Beef Improvement Federation guidelines and its"
    " additive factors. A ratio is held against the calf's own contemporary group only."
)
CALVES, GROUPS, DAMS = "calves", "groups", "dams"
WINDOWS = ((WEANING, "weaning_window"), (YEARLING, "yearling_window"))


@dataclass(frozen=True, slots=True)
class Line:
    """A calf beside what it and its dam wear."""

    line: CalfLine
    worn: Worn
    dam: Worn | None

    @property
    def weights(self) -> list[Cell]:
        """The adjusted weights of the three stages, in whole units."""
        return [_rounded(self.line.figures.get(one), 0) for one in STAGES]

    @property
    def ratios(self) -> list[Cell]:
        """The ratios of weaning and yearling weight, to one decimal."""
        return [_rounded(self.line.ratios.get(one), 1) for one in COMPARED]

    @property
    def by_age(self) -> list[str]:
        """The stages whose weight was taken by its age, since nobody named what it was for."""
        weights = self.line.calf.weights
        return [one for one in COMPARED if one in self.line.figures and weights[one].by_age]

    @property
    def remark(self) -> str:
        """Why a figure is missing, and what was assumed."""
        said = [self.line.reason] if self.line.reason else []
        said += [f"The {one} weight is the one at that age; none was named so." for one in self.by_age]
        assumed = self.line.figures.get(YEARLING) or self.line.figures.get(WEANING)
        said += [one.text for one in (assumed.cautions if assumed else ())]
        return " ".join([*said, *(each.text for one in self.line.ratios.values() for each in one.cautions)])


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for, the crop it comes to, and the sentences beside it."""

    form: CalvesForm
    crop: CalfCrop
    policies: PolicyHistory

    @property
    def show(self) -> str:
        """Which list is wanted."""
        return self.form.cleaned_data.get("show") or CALVES if self.form.is_bound else CALVES

    @property
    def rules(self) -> str:
        """The values that were reckoned with."""
        return say_rules(self.policies.on(self.form.days()[1]).policy)

    @property
    def own(self) -> str:
        """Which of them are the outfit's own."""
        return say_own(self.policies.used(), ADJUSTED)


@require_safe
@needs(Role.READER)
def calves(request: OfficeRequest) -> HttpResponseBase:
    """The calves born between two days with their adjusted weights; `show` asks for their groups or dams instead."""
    outfit, asked = request.outfit, _asked(request)
    (first, last), crop = asked.form.days(), asked.crop
    counts = list(crop_counts(crop, lambda what: question_for(request, what)).values())
    way = asked_way(request)
    if way:
        about = f"{say_figures(counts)} {ABOUT} {asked.rules} {asked.own}"
        return hand_out(request, way, TABLES[asked.show](outfit, crop, f"born {first} to {last}", about))
    page = page_of(request, LISTED[asked.show](crop))
    context = {
        "here": "reports",
        "form": asked.form,
        "first": first,
        "last": last,
        "unit": outfit.weight_unit,
        "show": asked.show,
        "counts": counts,
        "head": len(crop.lines),
        "is_whole": crop.adjusted(WEANING) == len(crop.lines),
        "page": page,
        "rows": list(LINES[asked.show](outfit, page.rows)),
        "calf_asked": question_for(request, CALF),
        "group_asked": question_for(request, GROUP),
        "dam_asked": question_for(request, DAM),
        "about": ABOUT,
        "rules": asked.rules,
        "own": asked.own,
    }
    return render(request, "office/reports/growth_calves.html", context)


@require_safe
@needs(Role.READER)
def animals(request: OfficeRequest) -> HttpResponseBase:
    """What stands behind one figure: of a calf, of a group, of a dam, or a count."""
    what = request.GET.get("what", "")
    if not what:
        return redirect("office:report-calves")
    asked = _asked(request)
    found = behind_crop(asked.crop, what, request.outfit.weight_unit)
    if found is None:
        raise Http404
    name = f" {worn_by(request.outfit, [found.of])[found.of].name}" if found.of else ""
    title = f"{found.title}{name}, calves born {' to '.join(map(say_day, asked.form.days()))}"
    report = ("Weaning and yearling weights", reverse("office:report-calves"))
    about = f"{ABOUT} {asked.rules} {asked.own}"
    return show_behind(request, Behind(title, found.noted, report, about, found.figures))


def _asked(request: OfficeRequest) -> Asked:
    outfit, policies = request.outfit, policies_of(request.outfit)
    form = CalvesForm(question_of(request), today=today_of(outfit), unit=WeightUnit(outfit.weight_unit))
    first, last = form.days()
    standard = form.cleaned_data.get("standard") if form.is_bound else None
    return Asked(form, calf_crop(outfit, first, last, standard, policies), policies)


def say_rules(policy: Policy) -> str:
    """The ages, additions and span that weights are adjusted and compared by."""
    ages = [f"A {name} weight counts from {say_value(key, getattr(policy, key))} of age" for name, key in WINDOWS]
    added = say_value("dam_ages", policy.dam_ages)
    return (
        f"{'; '.join(ages)}; others are a group of their own and are not adjusted. Added for the dam’s age in"
        f" completed years at the birth, to the birth weight, to males and to heifers at weaning: {added}. Contemporary"
        f" groups: born within {policy.birth_window} days, of one class, weighed on one day, in one group and place on"
        " the eve, twins apart. Once split, never joined again; a calf alone has no ratio."
    )


def _rounded(figure: Figure | None, places: int) -> Cell:
    return figure.rounded(places) if figure else None


def _lines(outfit: Outfit, lines: Sequence[CalfLine]) -> Iterator[Line]:
    for some in in_steps(lines):
        dams = [one.calf.dam_id for one in some if one.calf.dam_id]
        worn = worn_by(outfit, [*(one.calf.id for one in some), *dams])
        for one in some:
            yield Line(one, worn[one.calf.id], worn[one.calf.dam_id] if one.calf.dam_id else None)


def _dam_lines(outfit: Outfit, dams: Sequence[DamLine]) -> Iterator[tuple[UUID, Worn, Sequence[Cell]]]:
    for some in in_steps(dams):
        worn = worn_by(outfit, [one.dam_id for one in some])
        for one in some:
            ratio = round_half_up(one.ratio, 1) if one.ratio is not None else None
            yield one.dam_id, worn[one.dam_id], (one.calves, round_half_up(one.mean), ratio)


def _group_lines(outfit: Outfit, groups: Sequence[GroupLine]) -> Iterator[tuple[Cell, ...]]:
    for one in groups:
        group, kept = one.group, one.group.last
        words = (kept.animal_class.value, kept.place, ", ".join(filter(None, (kept.rearing, kept.code))))
        days: tuple[date, ...] = (group.born_from, group.born_to, kept.weighed_on)
        yield one.stage, *words, *days, len(group.members), round_half_up(one.mean), group_key(one)


def _calves_table(outfit: Outfit, crop: CalfCrop, born: str, about: str) -> Table:
    unit = outfit.weight_unit
    columns = (
        *("Visual tag", "EID", "Born", "Dam", "Dam's EID", "Dam's age, months"),
        *(f"Adjusted {one} weight, {unit}" for one in STAGES),
        *("Weaning ratio", "Yearling ratio", "Remark"),
    )
    return Table(f"Weaning and yearling weights, {born}", columns, _calf_rows(outfit, crop.lines), about)


def _calf_rows(outfit: Outfit, lines: Sequence[CalfLine]) -> Iterator[Sequence[Cell]]:
    for one in _lines(outfit, lines):
        calf = one.line.calf
        dam: Sequence[Cell] = (visual_tag(one.dam), one.dam.eid) if one.dam else ("", "")
        tags: Sequence[Cell] = (visual_tag(one.worn), one.worn.eid, calf.born_on, *dam, calf.dam_months)
        yield *tags, *one.weights, *one.ratios, one.remark


def _groups_table(outfit: Outfit, crop: CalfCrop, born: str, about: str) -> Table:
    mean = f"Mean adjusted weight, {outfit.weight_unit}"
    columns = ("Weight", "Class", "Kept in", "Rearing", "Born from", "Born to", "Weighed", "Head", mean)
    rows = (row[: len(columns)] for row in _group_lines(outfit, crop.groups))
    return Table(f"Contemporary groups, {born}", columns, rows, about)


def _dams_table(outfit: Outfit, crop: CalfCrop, born: str, about: str) -> Table:
    mean = f"Mean adjusted weaning weight, {outfit.weight_unit}"
    columns = ("Visual tag", "EID", "Calves", mean, "Mean weaning ratio")
    rows = ((visual_tag(worn), worn.eid, *cells) for _, worn, cells in _dam_lines(outfit, crop.dams()))
    return Table(f"Dams of calves {born}", columns, rows, about)


TABLES = {CALVES: _calves_table, GROUPS: _groups_table, DAMS: _dams_table}
LISTED: Mapping[str, Callable[[CalfCrop], Sequence[Any]]] = {
    CALVES: lambda crop: crop.lines,
    GROUPS: lambda crop: crop.groups,
    DAMS: CalfCrop.dams,
}
LINES: dict[str, Any] = {CALVES: _lines, GROUPS: _group_lines, DAMS: _dam_lines}
