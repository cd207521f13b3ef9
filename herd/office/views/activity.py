"""Activity: what was written, by whom and when, and each changeset's changes in words."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, QuerySet
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from herd.accounts.models import Role
from herd.ledger.models import Action, Change, Changeset
from herd.office.access import OfficeRequest, may_undo, needs
from herd.office.changes import WORDY_KINDS, ChangeWords, say_changes
from herd.office.exports import asked_way, hand_out
from herd.office.forms.activity import ActivityForm
from herd.office.happenings import Asked, all_of, some_of, writers_of
from herd.office.naming import names_of
from herd.office.tables import Table
from herd.office.wording import as_uuid
from herd.registry.queries.find import find_animals

A_PAGE = 50
# How an animal must have been found to be meant: a number it wears or wore, or its last digits, but no near miss.
SURE = frozenset({"worn", "worn_before", "tube", "last_digits"})
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
def activity(request: OfficeRequest) -> HttpResponseBase:
    """What was written, newest first, narrowed by who, what, when and which animal."""
    form = ActivityForm(request.GET, writers_of(request.outfit))
    form.is_valid()
    asked, unknown = _asked(request, form)
    if way := asked_way(request):
        return hand_out(request, way, _as_table(request, asked))
    before = as_uuid(request.GET.get("before", ""))
    some = some_of(request.outfit, asked, before, A_PAGE + 1)
    question = request.GET.copy()
    question.pop("before", None)
    context = {
        "here": "activity",
        "form": form,
        "is_narrowed": any(form.data.get(name) for name in form.fields),
        "unknown": unknown,
        "happenings": some[:A_PAGE],
        "older": some[A_PAGE - 1].pk if len(some) > A_PAGE else None,
        "is_later_page": before is not None,
        "question": question.urlencode(),
    }
    return render(request, "office/activity/activity.html", context)


def _asked(request: OfficeRequest, form: ActivityForm) -> tuple[Asked, str]:
    """The question, without what could not be read in it; and the number that no animal has."""
    data = form.cleaned_data
    text = data.get("animal", "")
    animals: list[UUID] | None = None
    if text:
        one = as_uuid(text)
        animals = [one] if one else [hit.animal.pk for hit in find_animals(request.outfit, text) if hit.how in SURE]
    asked = Asked(
        who=data.get("who", ""),
        kind=data.get("kind", ""),
        since=data.get("since"),
        until=data.get("until"),
        animals=animals,
    )
    return asked, text if animals == [] else ""


def _as_table(request: OfficeRequest, asked: Asked) -> Table:
    zone = request.outfit.zone
    rows = (
        (
            one.recorded_at.astimezone(zone).replace(tzinfo=None, microsecond=0),
            one.person_name or "the installation",
            one.title if isinstance(one, Changeset) else one.says,
            one.get_kind_display(),
            one.change_count if isinstance(one, Changeset) else None,
            "taken back" if isinstance(one, Changeset) and one.is_undone else "",
        )
        for one in all_of(request.outfit, asked)
    )
    about = f"What was written in {request.outfit}, newest first; times are of {request.outfit.time_zone}."
    return Table("Activity", ("When", "Who", "What", "Kind", "Changes", "Taken back"), rows, about)


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
