"""Lists kept under a name: keep one, change it, take it out."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.views.decorators.http import require_http_methods, require_POST

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.fields import show_refusals
from herd.office.forms.herd import LONGEST_QUESTION, HerdForm, KeepForm, form_of
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import HerdList
from herd.registry.services import lists
from herd.registry.services.refused import Refused


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def keep(request: OfficeRequest) -> HttpResponse:
    """Keep the question of the address under a name."""
    asked = HerdForm(request.GET, outfit=request.outfit, today=today_of(request.outfit))
    form = KeepForm(request.POST or None)
    query = asked.as_query()
    if len(query) > LONGEST_QUESTION:
        form.add_error(None, "The question is too long to be kept; take some of its filters away.")
    if request.method == "POST" and form.is_valid():
        name = form.cleaned_data["name"]
        try:
            row = lists.add(
                entry=entry_for(request, f"Kept the herd list {name}"),
                subject=HerdList.SUBJECT,
                facts={"name": name, "question": query},
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The list “{name}” is kept; everyone of the outfit finds it here.", row)
            return redirect(_address(row, query))
    context = {"here": "herd", "form": form, "asks": list(asked.asks), "query": query}
    return render(request, "office/herd/keep.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def change(request: OfficeRequest, list_id: UUID) -> HttpResponse:
    """Rename a kept list; where the address holds a question, that takes the old one's place."""
    kept = _list_of(request, list_id)
    given = HerdForm(request.GET, outfit=request.outfit, today=today_of(request.outfit)).as_query()
    query = given or kept.question
    form = KeepForm(request.POST or None, initial={"name": kept.name})
    if request.method == "POST" and form.is_valid():
        name = form.cleaned_data["name"]
        try:
            lists.correct(
                entry=entry_for(request, f"Changed the herd list {name}"),
                subject=HerdList.SUBJECT,
                row_id=list_id,
                facts={"name": name, "question": query[:LONGEST_QUESTION]},
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The list “{name}” was changed.", list_id)
            return redirect(_address(list_id, query))
    asked = form_of(request.outfit, today_of(request.outfit), query)
    context = {
        "here": "herd",
        "form": form,
        "kept": kept,
        "asks": list(asked.asks),
        "query": query,
        "is_new_question": query != kept.question,
        "address": _address(list_id, kept.question),
    }
    return render(request, "office/herd/keep.html", context)


@require_POST
@needs(Role.CREW)
def take_out(request: OfficeRequest, list_id: UUID) -> HttpResponse:
    """Take a kept list out; the animals in it stay as they are."""
    kept = _list_of(request, list_id)
    lists.take_out(
        entry=entry_for(request, f"Took out the herd list {kept.name}"), subject=HerdList.SUBJECT, row_id=list_id
    )
    tell_written(request, f"The list “{kept.name}” was taken out. No animal was touched.", list_id)
    return redirect("office:herd")


def _list_of(request: OfficeRequest, list_id: UUID) -> HerdList:
    return get_object_or_404(HerdList.objects.of(request.outfit), pk=list_id)


def _address(list_id: UUID, query: str) -> str:
    """The herd list with the question, opened from the kept list."""
    return f"{resolve_url('office:herd')}?{query}{'&' * bool(query)}kept={list_id}"
