"""The same event for many animals: who, what kind, one form for all, a look at who is left out, one write."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.intake.reading import UnreadableFile
from herd.ledger.models import Change
from herd.office.access import OfficeRequest, needs
from herd.office.eventdraft import Draft, start_draft
from herd.office.forms.events import EventForm
from herd.office.forms.events_rows import COLUMNS, MOST_ROWS
from herd.office.forms.given import MOST_NUMBERS, typed_numbers
from herd.office.naming import names_of
from herd.office.selection import FIELD, selection_of
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.views.events import was_sent_before
from herd.registry.queries.whose import Told, whose
from herd.registry.services import events
from herd.registry.services.refused import Refused
from herd.values.eventkinds import EVENT_KINDS, EventKind

# A calving has a calf of its own, a result its own words: those are recorded one by one or come in with a day.
KINDS = [kind for kind in EVENT_KINDS.values() if kind.key not in {"calving", "sample_result"}]
MOST_HEAD = 5_000
FEW = 12
MOST_SAID = 20


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def many(request: OfficeRequest) -> HttpResponse:
    """Record one event for the animals picked in a list, or for those whose numbers are given here."""
    if was_sent_before(request):
        return redirect("office:activity")
    typed, unreadable = _typed(request)
    picked = selection_of(request, request.outfit).ids
    ids = list(dict.fromkeys([*picked, *(one.animal_id for one in typed if one.animal_id)]))
    if unreadable:
        return _choose(request, ids, typed, unreadable)
    if len(ids) > MOST_HEAD:
        return _choose(request, [], typed, f"{len(ids)} head are too many in one go; take {MOST_HEAD} at most.")
    kind = next((one for one in KINDS if one.key == request.POST.get("kind")), None)
    step = request.POST.get("step", "")
    problem = _problem(step, ids, kind)
    if problem or kind is None or step == "":
        return _choose(request, ids, typed, problem)
    posted = request.POST if step in {"look", "write"} else None
    draft = start_draft(request.outfit, kind, ids, today_of(request.outfit), posted)
    if step == "write" and _may_write(request, draft):
        try:
            entry = entry_for(request, f"Recorded {kind.label} of {len(draft.events)} head")
            events.record(entry=entry, events=draft.events)
        except Refused as refused:
            _show_refusals(draft, refused)
        else:
            return _told(request, draft)
    return _fill(request, draft, ids, typed, is_looked=posted is not None)


def _typed(request: OfficeRequest) -> tuple[list[Told], str]:
    """Whose the typed or pasted numbers are, and what keeps them from being read."""
    try:
        numbers = typed_numbers(request.POST.get("numbers", ""))
    except UnreadableFile as problem:
        return [], problem.reason
    if len(numbers) > MOST_NUMBERS:
        return [], f"{len(numbers):,} numbers are too many in one go; bring them in as a processing day."
    return whose(request.outfit, numbers, today_of(request.outfit)), ""


def _problem(step: str, ids: list[UUID], kind: EventKind | None) -> str:
    """What is missing before the form can be shown; nothing while nothing was sent."""
    if not step:
        return ""
    if not ids:
        return "Nobody is picked yet: pick animals in the herd list, or give their numbers here."
    if kind is None:
        return "Choose what is to be recorded."
    if kind.key in COLUMNS and len(ids) > MOST_ROWS:
        return (
            f"{len(ids)} head are too many for a table with a box for each; take {MOST_ROWS} at most, "
            "or bring the figures in as a file of a processing day."
        )
    return ""


def _may_write(request: OfficeRequest, draft: Draft) -> bool:
    """Whether all is sound, someone is left to write for, and those left out are the ones that were shown."""
    is_agreed = not draft.refused or ("leave_out" in request.POST and request.POST.get("seen") == draft.seen)
    return draft.is_sound and bool(draft.events) and is_agreed


def _choose(request: OfficeRequest, ids: list[UUID], typed: list[Told], problem: str) -> HttpResponse:
    context = {
        **_carried(request, ids, typed),
        "kinds": KINDS,
        "chosen": request.POST.get("kind", request.GET.get("kind", "")),
        "problem": problem,
    }
    return render(request, "office/events/choose.html", context)


def _fill(
    request: OfficeRequest, draft: Draft, ids: list[UUID], typed: list[Told], *, is_looked: bool
) -> HttpResponse:
    context = {
        **_carried(request, ids, typed),
        "draft": draft,
        "form": draft.form,
        "kind": draft.kind,
        "columns": [box.field.label for box in draft.rows[0].boxes] if draft.rows else [],
        "is_looked": is_looked,
        "may_write_now": draft.is_sound and bool(draft.events),
        "has_agreed": "leave_out" in request.POST and request.POST.get("seen") == draft.seen,
        "is_asked": request.POST.get("step") == "write",
    }
    return render(request, "office/events/many.html", context)


def _carried(request: OfficeRequest, ids: list[UUID], typed: list[Told]) -> dict[str, Any]:
    """What every step shows of who is picked, and hands on to the next."""
    names = names_of(request.outfit, ids[:FEW])
    return {
        "field": FIELD,
        "carried": ",".join(str(one) for one in ids),
        "head": len(ids),
        "some": [(one, names[str(one)]) for one in ids[:FEW]],
        "more": max(0, len(ids) - FEW),
        "numbers": request.POST.get("numbers", ""),
        "unread": [one for one in typed if one.animal_id is None],
    }


def _show_refusals(draft: Draft, refused: Refused) -> None:
    """Say each reason with the animal it is about; of very many the first, and how many more."""
    form: EventForm = draft.form
    said = list(
        dict.fromkeys(
            f"{draft.names[str(one.animal_id)]}: {one.reason}" if str(one.animal_id) in draft.names else one.reason
            for one in refused.refusals
        )
    )
    for sentence in said[:MOST_SAID]:
        form.add_error(None, sentence)
    if len(said) > MOST_SAID:
        form.add_error(None, f"And {len(said) - MOST_SAID} more like these.")
    draft.is_sound = False


def _told(request: OfficeRequest, draft: Draft) -> HttpResponse:
    first = draft.events[0]
    out = f" {len(draft.refused)} were left out." if draft.refused else ""
    tell_written(request, f"Recorded: {draft.kind.label} of {len(draft.events)} head.{out}", first.animal_id)
    change = Change.objects.filter(outfit=request.outfit, subject_id=first.id).order_by("-position").first()
    return redirect("office:changeset", change.changeset_id) if change else redirect("office:activity")
