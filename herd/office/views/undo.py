"""Taking a changeset back: first what that would do, or what stands in the way, then the button."""

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Role
from herd.intake.days import judge_undo, undo_day
from herd.intake.models import ProcessingDay
from herd.ledger.entry import Entry
from herd.ledger.models import Changeset, ChangesetKind
from herd.office.access import OfficeRequest, may_undo, needs
from herd.office.naming import names_of
from herd.office.wording import as_uuid
from herd.registry import undo as registry_undo
from herd.registry.undo import UndoVerdict

OTHERS_WORK = "Crew may take back what they wrote by hand themselves; ask the office or the owner for the rest."
APPLY_AGAIN = "This took back a processing day, which is in review again: apply it from there."


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def undo(request: OfficeRequest, changeset_id: UUID) -> HttpResponse:
    """Show what taking back would do; on POST take it back. `animal` narrows it to one animal's part."""
    changeset = get_object_or_404(Changeset.objects.filter(outfit=request.outfit), pk=changeset_id)
    if not may_undo(request.role, request.user, changeset):
        raise PermissionDenied(OTHERS_WORK)
    animal_id = as_uuid(request.GET.get("animal", ""))
    day = _whole_day(request, changeset, animal_id)
    if request.method == "POST":
        verdict = _take_back(request, changeset, animal_id, day)
        if verdict.is_possible:
            return _lead_on(request, changeset, animal_id, day)
    else:
        verdict = _judge(changeset, animal_id, day)
    context = {
        "here": "activity",
        "changeset": changeset,
        "verdict": verdict,
        "day": day,
        "animal_id": animal_id,
        "name": names_of(request.outfit, [animal_id])[str(animal_id)] if animal_id else "",
    }
    return render(request, "office/activity/undo.html", context, status=409 if request.method == "POST" else 200)


def _whole_day(request: OfficeRequest, changeset: Changeset, animal_id: UUID | None) -> ProcessingDay | None:
    """The day that is taken back as a whole with its changeset; None for one animal's part."""
    if changeset.day_id is None or animal_id is not None:
        return None
    return ProcessingDay.objects.filter(outfit=request.outfit, pk=changeset.day_id).first()


def _judge(changeset: Changeset, animal_id: UUID | None, day: ProcessingDay | None) -> UndoVerdict:
    if day is None:
        return registry_undo.judge(changeset, animal_id)
    if changeset.kind == ChangesetKind.UNDO:
        return UndoVerdict(is_possible=False, count=0, reasons=(APPLY_AGAIN,))
    return judge_undo(day)


def _take_back(
    request: OfficeRequest, changeset: Changeset, animal_id: UUID | None, day: ProcessingDay | None
) -> UndoVerdict:
    if day is None:
        entry = Entry(
            request.outfit,
            request.user,
            ChangesetKind.UNDO,
            _title(changeset),
            undoes=changeset,
        )
        return registry_undo.undo(entry, changeset, animal_id)
    verdict = _judge(changeset, animal_id, day)
    return undo_day(day=day, person=request.user) if verdict.is_possible else verdict


def _title(changeset: Changeset) -> str:
    if changeset.undoes_id is None:
        return f"Undone: {changeset.title}"
    return f"Done again: {changeset.title.removeprefix('Undone: ')}"


def _lead_on(
    request: OfficeRequest, changeset: Changeset, animal_id: UUID | None, day: ProcessingDay | None
) -> HttpResponse:
    """Say that it is taken back, with a button to bring it back, and show where it shows."""
    if day is not None:
        messages.success(request, f"{day.name} is taken back and in review again.")
        return redirect("office:day", day.pk)
    written = Changeset.objects.filter(outfit=request.outfit, undoes=changeset).first()
    sentence = f"Taken back: {changeset.title}."
    messages.success(request, sentence, extra_tags=str(written.pk) if written else "")
    if animal_id is not None:
        return redirect("office:animal", animal_id)
    return redirect("office:changeset", changeset.pk)
