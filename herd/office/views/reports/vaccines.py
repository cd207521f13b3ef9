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
    way = asked_way(request)
    if way:
        return hand_out(request, way, _vaccine_table(outfit, group, status))
    page = page_of(request, status.animal_ids)
    worn = worn_by(outfit, page.rows)
    head = len(status.animal_ids)
    shown = {
        "status": status,
        "until": until,
        "sums": [(name, status.had(name), head - status.had(name)) for name in status.products],
        "without": len(status.without),
        "page": page,
        "lines": [(key, worn[key], _days_of(status, key)) for key in page.rows],
    }
    return render(request, "office/reports/vaccines.html", {**context, **shown})


def _days_of(status: VaccineStatus, key: UUID) -> list[tuple[str, date | None]]:
    had = status.last.get(key, {})
    return [(name, had.get(name)) for name in status.products]


def _vaccine_table(outfit: Outfit, group: Group, status: VaccineStatus) -> Table:
    about = f"The last day of each vaccine since {say_day(status.since)}; empty where there was none. {ABOUT}"
    columns = ("Visual tag", "EID", *status.products)
    return Table(f"Vaccines of {group.name}", columns, _vaccine_rows(outfit, status), about)


def _vaccine_rows(outfit: Outfit, status: VaccineStatus) -> Iterator[Sequence[Cell]]:
    for ids in in_steps(status.animal_ids):
        worn = worn_by(outfit, ids)
        for key in ids:
            yield visual_tag(worn[key]), worn[key].eid, *(on for _, on in _days_of(status, key))
