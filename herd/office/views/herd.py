"""The herd list: filters, order and columns from the address, a hundred animals a page, and the ways out."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.herd import HerdForm
from herd.office.herdcolumns import COLUMNS, Line, cells_of, headings, lines_of, shown
from herd.office.selection import all_that_match
from herd.office.tables import Table
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import HerdList
from herd.registry.queries.herdlist import A_PAGE, ids_of, page_of

# What the page shows first; the rest of the filters stands folded up until it is used.
FIRST_FIELDS = ("number", "group", "status", "sort", "way")
LISTS = ("classes", "columns")


@require_safe
@needs(Role.READER)
def herd(request: OfficeRequest) -> HttpResponseBase:
    """The animals that answer the address, in its order."""
    form = HerdForm(request.GET, outfit=request.outfit, today=today_of(request.outfit))
    way = asked_way(request)
    if way:
        return hand_out(request, way, table_of(request, form, ids_of(request.outfit, form.question())))
    return _page(request, form)


def table_of(request: OfficeRequest, form: HerdForm, ids: Sequence[Any]) -> Table:
    """These animals with the form's columns, as a file takes them."""
    keys = form.columns_shown
    lines = lines_of(request.outfit, ids, keys, form.today)
    about = "; ".join(form.asks) or "Animals on hand"
    return Table(_title(request), headings(keys, request.outfit), (cells_of(line, keys) for line in lines), about)


def _page(request: OfficeRequest, form: HerdForm) -> HttpResponse:
    outfit, query = request.outfit, form.as_query()
    page = page_of(
        outfit, form.question(), after=request.GET.get("after", ""), before=request.GET.get("before", "")
    )
    keys = [key for key in form.columns_shown if key != "vid"]
    lines = lines_of(outfit, page.ids, keys, form.today)
    every = all_that_match(outfit, query) if request.GET.get("count") else None
    kept = _kept(request)
    context = {
        "here": "herd",
        "form": form,
        "first_fields": [form[name] for name in FIRST_FIELDS],
        "more_fields": [form[name] for name in form.fields if name not in {*FIRST_FIELDS, *LISTS}],
        "is_open": any(form.said.get(name) for name in form.fields if name not in {*FIRST_FIELDS, "columns"})
        or bool(form.errors),
        "asks": list(form.asks),
        "query": query,
        "headings": _headings(form, keys),
        "rows": [(line, _name(line), shown(line, keys)) for line in lines],
        "page": page,
        "ids": ",".join(str(one) for one in page.ids),
        "a_page": A_PAGE,
        "every": every,
        "kept": kept,
        "is_as_kept": kept is not None and kept.question == query,
        "lists": HerdList.objects.of(outfit),
    }
    return render(request, "office/herd/list.html", context)


def _headings(form: HerdForm, keys: Sequence[str]) -> list[tuple[str, str, str, str]]:
    """Each column's label, look, the address that sorts by it, and how it is sorted now."""
    asked = form.question()
    found = []
    for key in ("vid", *keys):
        column = COLUMNS[key]
        is_sorted = bool(column.sort) and column.sort == asked.sort
        state = ("descending" if asked.is_falling else "ascending") if is_sorted else ""
        turned = "falling" if is_sorted and not asked.is_falling else ""
        address = form.as_query(sort=column.sort, way=turned) if column.sort else ""
        found.append((column.label, column.look, address, state))
    return found


def _name(line: Line) -> str:
    return line.worn.name


def _kept(request: OfficeRequest) -> HerdList | None:
    """The kept list that the address was opened from; one that is gone is none."""
    key = as_uuid(request.GET.get("kept", ""))
    return HerdList.objects.of(request.outfit).filter(pk=key).first() if key else None


def _title(request: OfficeRequest) -> str:
    kept = _kept(request)
    return kept.name if kept else "Herd list"
