"""Head counts of a group: enter one, see what it showed, and act on it."""

from collections.abc import Sequence
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herd.accounts.models import Role
from herd.office.access import OfficeRequest, needs
from herd.office.countwords import Result, result_of, result_table
from herd.office.exports import asked_way, hand_out
from herd.office.forms.counts import CountForm
from herd.office.forms.fields import show_refusals
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.selection import selection_of
from herd.office.tables import Table
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.registry.models import Group, HeadCheck
from herd.registry.queries.headcount import members_on
from herd.registry.services import headchecks
from herd.registry.services.refused import Refusal, Refused

SHOWN = 100
REASONS_SHOWN = 5


@require_safe
@needs(Role.READER)
def counts(request: OfficeRequest, group_id: UUID) -> HttpResponseBase:
    """The counts of a group, newest first, each with what the record expected then."""
    group = get_object_or_404(Group.objects.of(request.outfit), pk=group_id)
    rows = HeadCheck.objects.of(request.outfit).filter(group=group)
    way = asked_way(request)
    if way:
        cells = ([one.counted_on, one.counted, one.expected, one.difference, one.note] for one in rows.iterator())
        columns = ("Counted on", "Counted", "Expected then", "Difference", "Note")
        return hand_out(request, way, Table(f"Head counts of {group.name}", columns, cells))
    context = {"here": "groups", "group": group, "counts": rows[:SHOWN], "more": max(0, rows.count() - SHOWN)}
    return render(request, "office/groups/counts.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def new(request: OfficeRequest, group_id: UUID) -> HttpResponse:
    """Enter a count of a group and keep it."""
    outfit, today = request.outfit, today_of(request.outfit)
    group = get_object_or_404(Group.objects.of(outfit), pk=group_id)
    form = CountForm(request.POST or None, request.FILES or None, today=today)
    if request.method == "POST" and form.is_valid():
        on = form.cleaned_data["on"]
        try:
            check_id = headchecks.keep(
                entry=entry_for(request, f"Counted {group.name}"), group=group, on=on, count=form.count()
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The count of {group.name} on {say_day(on)} is kept.", check_id)
            return redirect("office:count", check_id)
    context = {"here": "groups", "group": group, "form": form, "head": len(members_on(outfit, group_id, today))}
    return render(request, "office/groups/count_new.html", context)


@require_safe
@needs(Role.READER)
def count(request: OfficeRequest, check_id: UUID) -> HttpResponseBase:
    """What a count showed, asked of the record anew."""
    result = _result(request, check_id)
    way = asked_way(request)
    if way:
        return hand_out(request, way, result_table(result))
    return render(request, "office/groups/count.html", {"here": "groups", "result": result})


@require_POST
@needs(Role.CREW)
def missing(request: OfficeRequest, check_id: UUID) -> HttpResponse:
    """Mark as missing those ticked, or all whom the count did not see and nothing speaks for."""
    check = _check(request, check_id)
    ids = _ticked(request, check, "unseen")
    title = f"Missing at the count of {check.group.name}"
    try:
        head = headchecks.mark_missing(entry=entry_for(request, title), check=check, animal_ids=ids) if ids else 0
    except Refused as refused:
        _say_refused(request, refused.refusals)
    else:
        _say_done(request, f"{head} head marked missing since {say_day(check.counted_on)}.", ids)
    return redirect("office:count", check_id)


@require_POST
@needs(Role.CREW)
def take_in(request: OfficeRequest, check_id: UUID) -> HttpResponse:
    """Move into the group those ticked, or all whom the count saw beside the members and nothing speaks against."""
    check = _check(request, check_id)
    ids = _ticked(request, check, "extra")
    title = f"Moved to {check.group.name} after its count"
    try:
        head = headchecks.take_in(entry=entry_for(request, title), check=check, animal_ids=ids) if ids else 0
    except Refused as refused:
        _say_refused(request, refused.refusals)
    else:
        _say_done(request, f"{head} head moved to {check.group.name} on {say_day(check.counted_on)}.", ids)
    return redirect("office:count", check_id)


def _check(request: OfficeRequest, check_id: UUID) -> HeadCheck:
    return get_object_or_404(HeadCheck.objects.of(request.outfit).select_related("group"), pk=check_id)


def _result(request: OfficeRequest, check_id: UUID) -> Result:
    return result_of(request.outfit, _check(request, check_id))


def _ticked(request: OfficeRequest, check: HeadCheck, kind: str) -> Sequence[UUID]:
    """The animals ticked that the count still shows so; with `all`, every one that can be acted upon."""
    result = result_of(request.outfit, check)
    can = {one.animal_id for one in getattr(result, kind) if one.can_act}
    if request.POST.get("all"):
        return sorted(can)
    shown = {one.animal_id for one in getattr(result, kind)}
    return [one for one in selection_of(request, request.outfit).ids if one in shown]


def _say_done(request: OfficeRequest, sentence: str, ids: Sequence[UUID]) -> None:
    if ids:
        tell_written(request, sentence, ids[0])
    else:
        messages.warning(request, "Nobody was ticked, or it is done already; nothing was written.")


def _say_refused(request: OfficeRequest, refusals: Sequence[Refusal]) -> None:
    some = refusals[:REASONS_SHOWN]
    names = names_of(request.outfit, [one.animal_id for one in some if one.animal_id])
    said = [f"{names.get(str(one.animal_id), '')}: {one.reason}".removeprefix(": ") for one in some]
    more = f" And {len(refusals) - len(some)} more." if len(refusals) > len(some) else ""
    messages.error(request, f"Nothing was written. {' '.join(said)}{more}")
