"""Who of a group had which vaccine, and who had none."""

from collections.abc import Iterator, Sequence
from datetime import date
from uuid import UUID

from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.reports import A_YEAR, VaccinesForm
from herd.office.saying import say_day
from herd.office.tables import Cell, Table
from herd.office.today import today_of
from herd.office.views.reports.paging import page_of, question_of
from herd.office.views.reports.tagcells import visual_tag
from herd.registry.models import Group
from herd.registry.queries.headcount import members_on
from herd.registry.queries.tags import worn_by
from herd.reports.medicines import VaccineStatus, vaccines_of

ANY = "any"
ABOUT = "Which vaccine is due when: the label and the veterinarian."


@require_safe
@needs(Role.READER)
def vaccines(request: OfficeRequest) -> HttpResponseBase:
    """Who of a group had which vaccine since a day."""
    outfit, today = request.outfit, today_of(request.outfit)
    form = VaccinesForm(question_of(request), today=today, since=today - A_YEAR, outfit=outfit)
    since, until = form.days()
    group: Group | None = form.cleaned_data.get("group") if form.is_bound else None
    context = {"here": "reports", "form": form, "group": group, "today": today}
    if group is None:
        return render(request, "office/reports/vaccines.html", context)
    status = vaccines_of(outfit, members_on(outfit, group.pk, until), since, until)
    shown_ids, narrowed = _narrowed(status, request.GET.get("had", ""), request.GET.get("lacks", ""))
    way = asked_way(request)
    if way:
        return hand_out(request, way, _vaccine_table(outfit, group, status, shown_ids, narrowed))
    page = page_of(request, shown_ids)
    worn = worn_by(outfit, page.rows)
    head = len(status.animal_ids)
    shown = {
        "status": status,
        "until": until,
        "sums": [_sum(request, status, name) for name in status.products],
        "head": head,
        "narrowed": narrowed,
        "lacking_any": _asking(request, lacks=ANY),
        "everybody": _asking(request),
        "without": len(status.without),
        "page": page,
        "lines": [(key, worn[key], _days_of(status, key)) for key in page.rows],
    }
    return render(request, "office/reports/vaccines.html", {**context, **shown})


def _narrowed(status: VaccineStatus, had: str, lacks: str) -> tuple[list[UUID], str]:
    """The animals behind a figure, with words for it; all without words where none is asked for."""
    if lacks == ANY:
        return status.without, "without any vaccine"
    if had in status.products:
        return [key for key in status.animal_ids if had in status.last.get(key, {})], f"with {had}"
    if lacks in status.products:
        return [key for key in status.animal_ids if lacks not in status.last.get(key, {})], f"without {lacks}"
    return status.animal_ids, ""


def _sum(request: OfficeRequest, status: VaccineStatus, name: str) -> tuple[str, int, int, str, str]:
    """A vaccine with how many had it and had not, and the question for each."""
    had = status.had(name)
    return name, had, len(status.animal_ids) - had, _asking(request, had=name), _asking(request, lacks=name)


def _asking(request: OfficeRequest, **more: str) -> str:
    """This page's question, narrowed to the animals behind a figure."""
    question = request.GET.copy()
    for name in ("had", "lacks", "from", "as"):
        question.pop(name, None)
    question.update(more)
    return f"?{question.urlencode()}"


def _days_of(status: VaccineStatus, key: UUID) -> list[tuple[str, date | None]]:
    had = status.last.get(key, {})
    return [(name, had.get(name)) for name in status.products]


def _vaccine_table(
    outfit: Outfit, group: Group, status: VaccineStatus, ids: Sequence[UUID], narrowed: str
) -> Table:
    about = f"The last day of each vaccine since {say_day(status.since)}; empty where there was none. {ABOUT}"
    columns = ("Visual tag", "EID", *status.products)
    title = f"Vaccines of {group.name}{f', head {narrowed}' if narrowed else ''}"
    return Table(title, columns, _vaccine_rows(outfit, status, ids), about)


def _vaccine_rows(outfit: Outfit, status: VaccineStatus, shown_ids: Sequence[UUID]) -> Iterator[Sequence[Cell]]:
    for ids in in_steps(shown_ids):
        worn = worn_by(outfit, ids)
        for key in ids:
            yield visual_tag(worn[key]), worn[key].eid, *(on for _, on in _days_of(status, key))
