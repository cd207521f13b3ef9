"""Activity: what was written, by whom and when, and each changeset's changes in words."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Q, QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.ledger.models import Action, Change, Changeset
from herd.office.access import OfficeRequest, may_undo, needs
from herd.office.changes import WORDY_KINDS, ChangeWords, say_changes
from herd.office.naming import names_of
from herd.office.wording import as_uuid

A_PAGE = 50
ANIMALS_A_PAGE = 40
OTHERS_SHOWN = 40
PLURALS = {"tag": "new tag numbers", "tag_box": "boxes of tags", "missing_tag": "missing tags"}


@dataclass(frozen=True, slots=True)
class AnimalPart:
    """The changes of one animal in a changeset; `stands` while any of them is not taken back."""

    key: str
    name: str
    lines: list[ChangeWords]
    stands: bool


@require_safe
@needs(Role.READER)
def activity(request: OfficeRequest) -> HttpResponse:
    """Changesets, newest first."""
    rows = Changeset.objects.filter(outfit=request.outfit).order_by("-recorded_at", "-id")
    before = as_uuid(request.GET.get("before", ""))
    last = Changeset.objects.filter(outfit=request.outfit, pk=before).first() if before else None
    if last:
        rows = rows.filter(Q(recorded_at__lt=last.recorded_at) | Q(recorded_at=last.recorded_at, pk__lt=last.pk))
    some = list(rows[: A_PAGE + 1])
    context = {
        "here": "activity",
        "changesets": some[:A_PAGE],
        "older": some[A_PAGE - 1].pk if len(some) > A_PAGE else None,
        "is_later_page": last is not None,
    }
    return render(request, "office/activity/activity.html", context)


@require_safe
@needs(Role.READER)
def changeset(request: OfficeRequest, changeset_id: UUID) -> HttpResponse:
    """One changeset, its changes animal by animal, forty animals a page."""
    outfit = request.outfit
    rows = Changeset.objects.filter(outfit=outfit).select_related("undoes")
    written = get_object_or_404(rows, pk=changeset_id)
    after = as_uuid(request.GET.get("after", ""))
    ids = _animals_of(written, after)
    page = ids[:ANIMALS_A_PAGE]
    changes = list(written.changes.filter(animal_id__in=page).order_by("position"))
    others = written.changes.filter(animal_id=None)
    wordy = others.exclude(subject_kind__in=WORDY_KINDS).order_by("position")
    shown = [] if after else list(wordy[:OTHERS_SHOWN])
    taken_back = set(Change.objects.filter(undoes__in=[one.pk for one in changes]).values_list("undoes", flat=True))
    said = say_changes(outfit, [*shown, *changes], {one.pk for one in [*shown, *changes]} - taken_back)
    context = {
        "here": "activity",
        "changeset": written,
        "undone_by": list(written.undone_by.all()[:5]),
        "others": said[: len(shown)],
        "counted": [] if after else _counted(others),
        "may_undo": may_undo(request.role, request.user, written),
        "animals": _by_animal(said[len(shown) :], names_of(outfit, page)),
        "next": page[-1] if len(ids) > len(page) else None,
        "is_later_page": after is not None,
    }
    return render(request, "office/activity/changeset.html", context)


def _animals_of(written: Changeset, after: UUID | None) -> list[UUID]:
    rows = written.changes.exclude(animal_id=None)
    if after:
        rows = rows.filter(animal_id__gt=after)
    found = rows.order_by("animal_id").values_list("animal_id", flat=True).distinct()
    return [one for one in found[: ANIMALS_A_PAGE + 1] if one]


def _counted(others: QuerySet[Change]) -> list[str]:
    """Rows about no animal that are only counted, in words."""
    rows = others.filter(subject_kind__in=WORDY_KINDS).order_by("subject_kind", "action")
    return [
        f"{number} {PLURALS[kind]}{'' if action == Action.CREATED else ' changed or taken back'}"
        for kind, action, number in rows.values_list("subject_kind", "action").annotate(Count("pk"))
    ]


def _by_animal(said: Sequence[ChangeWords], names: dict[str, str]) -> list[AnimalPart]:
    found: dict[str, list[ChangeWords]] = defaultdict(list)
    for one in said:
        found[str(one.change.animal_id)].append(one)
    return [
        AnimalPart(key, names.get(key, "no tag"), lines, any(one.stands for one in lines))
        for key, lines in sorted(found.items())
    ]
