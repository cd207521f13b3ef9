"""Activity: what was written, by whom and when, and each changeset's changes in words."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from uuid import UUID

from django.db.models import Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.ledger.models import Action, Change, Changeset
from herd.office.access import OfficeRequest, needs
from herd.office.changes import WORDY_KINDS, ChangeWords, say_changes
from herd.office.naming import names_of
from herd.office.wording import as_uuid

A_PAGE = 50
ANIMALS_A_PAGE = 40
OTHERS_SHOWN = 40
PLURALS = {"tag": "new tag numbers", "tag_box": "boxes of tags", "missing_tag": "missing tags"}


@require_safe
@needs(Role.READER)
def activity(request: OfficeRequest) -> HttpResponse:
    """Changesets, newest first."""
    rows = Changeset.objects.filter(outfit=request.outfit).order_by("-recorded_at", "-id")
    before = as_uuid(request.GET.get("before", ""))
    last = Changeset.objects.filter(outfit=request.outfit, pk=before).first() if before else None
    if last:
        rows = rows.filter(
            Q(recorded_at__lt=last.recorded_at) | Q(recorded_at=last.recorded_at, pk__lt=last.pk)
        )
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
    others = [] if after else list(written.changes.filter(animal_id=None).order_by("position"))
    shown = [change for change in others if change.subject_kind not in WORDY_KINDS][:OTHERS_SHOWN]
    taken_back = set(
        Change.objects.filter(undoes__in=[one.pk for one in changes]).values_list("undoes", flat=True)
    )
    said = say_changes(outfit, [*shown, *changes], {one.pk for one in [*shown, *changes]} - taken_back)
    context = {
        "here": "activity",
        "changeset": written,
        "undone_by": list(written.undone_by.all()[:5]),
        "others": said[: len(shown)],
        "counted": _counted(others, shown),
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
    return list(found[: ANIMALS_A_PAGE + 1])


def _counted(others: Sequence[Change], shown: Sequence[Change]) -> list[str]:
    """Rows about no animal that are only counted, in words."""
    said = {one.pk for one in shown}
    counts = Counter((one.subject_kind, one.action == Action.CREATED) for one in others if one.pk not in said)
    return [
        f"{number} {PLURALS.get(kind, kind.replace('_', ' '))}{'' if is_new else ' changed or taken back'}"
        for (kind, is_new), number in counts.items()
    ]


def _by_animal(
    said: Sequence[ChangeWords], names: dict[str, str]
) -> list[tuple[str, str, list[ChangeWords]]]:
    """The changes of each animal: its id, its name, its changes."""
    found: dict[str, list[ChangeWords]] = defaultdict(list)
    for one in said:
        found[str(one.change.animal_id)].append(one)
    return [(key, names.get(key, "no tag"), lines) for key, lines in sorted(found.items())]
