"""Says after a write what was written, with the changeset that an undo button takes back."""

from uuid import UUID

from django.contrib import messages

from herd.ledger.entry import Entry
from herd.ledger.models import Change, ChangesetKind
from herd.office.access import OfficeRequest


def entry_for(request: OfficeRequest, title: str) -> Entry:
    """Say who writes by hand and what for."""
    return Entry(request.outfit, request.user, ChangesetKind.OFFICE, title)


def tell_written(request: OfficeRequest, sentence: str, subject: UUID) -> None:
    """Tell what was written about an animal or a group; the newest change to it is the one just written."""
    changes = Change.objects.filter(outfit=request.outfit, changeset__person=request.user)
    last = changes.filter(animal_id=subject).order_by("-position").first()
    last = last or changes.filter(subject_id=subject).order_by("-position").first()
    messages.success(request, sentence, extra_tags=str(last.changeset_id) if last else "")
