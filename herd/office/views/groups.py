"""Groups: the list with head by class, and who was in one on a day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from herd.accounts.models import Outfit, Role
from herd.office.access import OfficeRequest, needs
from herd.office.forms.animals import GroupForm
from herd.office.forms.fields import show_refusals
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import Animal, Event, Group
from herd.registry.queries.headcount import CLASSES, count_head, members_on
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.services import groups as herd_groups
from herd.registry.services.refused import Refused

A_PAGE = 200


@dataclass(frozen=True, slots=True)
class Member:
    """One line of a group's page. `weighed` is the last weighing up to the day."""

    animal: Animal
    worn: Worn
    weighed: Event | None


@require_safe
@needs(Role.READER)
def groups(request: OfficeRequest) -> HttpResponse:
    """The open groups with their head by class."""
    count = count_head(request.outfit, today_of(request.outfit))
    classes = [name for name in CLASSES if count.by_class.get(name)]
    return render(request, "office/groups/groups.html", {"here": "groups", "count": count, "classes": classes})


@require_safe
@needs(Role.READER)
def group(request: OfficeRequest, group_id: UUID) -> HttpResponse:
    """Who was in a group on a day, two hundred a page."""
    outfit, today = request.outfit, today_of(request.outfit)
    asked_group = get_object_or_404(Group.objects.of(outfit).select_related("location"), pk=group_id)
    day = _day(request.GET.get("on", ""), today)
    ids = members_on(outfit, group_id, day)
    after = as_uuid(request.GET.get("after", ""))
    rest = [one for one in ids if after is None or one > after]
    page = rest[:A_PAGE]
    context = {
        "here": "groups",
        "group": asked_group,
        "day": day,
        "today": today,
        "head": len(ids),
        "first": len(ids) - len(rest) + 1,
        "last": len(ids) - len(rest) + len(page),
        "members": _members(outfit, page, day),
        "next": page[-1] if len(rest) > len(page) else None,
        "is_later_page": after is not None,
    }
    return render(request, "office/groups/group.html", context)


def _day(text: str, today: date) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return today


def _members(outfit: Outfit, ids: Sequence[UUID], day: date) -> list[Member]:
    animals = Animal.objects.of(outfit).in_bulk(list(ids))
    worn = worn_by(outfit, ids)
    weighings = Event.objects.of(outfit).filter(animal__in=ids, kind="weight", happened_on__lte=day)
    last = {event.animal_id: event for event in weighings.order_by("happened_on", "pk")}
    return [Member(animals[key], worn[key], last.get(key)) for key in ids if key in animals]


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def new(request: OfficeRequest) -> HttpResponse:
    """Open a group."""
    form = GroupForm(request.POST or None, outfit=request.outfit)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            group_id = herd_groups.open_group(
                entry=entry_for(request, f"Opened the group {data['name']}"),
                name=data["name"],
                kind=data["kind"],
                location_id=as_uuid(data["location"]),
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The group {data['name']} is open.", group_id)
            return redirect("office:group", group_id)
    return render(request, "office/groups/new.html", {"here": "groups", "form": form})
