"""Groups: the list with head by class on a day, who was in one on a day, and its name, place and closing."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.fields import show_refusals
from herd.office.forms.groups import CloseForm, GroupForm
from herd.office.saying import say_class, weight_in
from herd.office.tables import Cell, Table
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.wording import as_uuid
from herd.registry.models import Animal, Event, Group
from herd.registry.queries.headchecks import standings_on
from herd.registry.queries.headcount import CLASSES, HeadCount, count_head, count_head_on, members_on
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.queries.withdrawal import withdrawals
from herd.registry.services import groups as herd_groups
from herd.registry.services.refused import Refused
from herd.values.withdrawal import Withdrawal, latest_end

A_PAGE = 200
COLUMNS = ("Visual tag", "EID", "Class", "Born", "Last weight", "Weighed")


@dataclass(frozen=True, slots=True)
class Member:
    """One line of a group's page. `weighed` is the last weighing up to the day, `hold` the withdrawal that day."""

    animal: Animal
    worn: Worn
    weighed: Event | None
    hold: Withdrawal | None = None


@require_safe
@needs(Role.READER)
def groups(request: OfficeRequest) -> HttpResponseBase:
    """The groups with their head by class, today or on a past day."""
    outfit, today = request.outfit, today_of(request.outfit)
    day = past_day(request.GET.get("on", ""), today)
    count = count_head(outfit, today) if day == today else count_head_on(outfit, day)
    classes = [name for name in CLASSES if count.by_class.get(name)]
    way = asked_way(request)
    if way:
        return hand_out(request, way, _count_table(count, classes, day))
    closed = Group.objects.of(outfit).filter(is_closed=True)
    context = {"here": "groups", "count": count, "classes": classes, "day": day, "today": today, "closed": closed}
    return render(request, "office/groups/groups.html", context)


def _count_table(count: HeadCount, classes: Sequence[str], day: date) -> Table:
    heads: list[list[Cell]] = [
        [row.group.name if row.group else "in no group", *(row.by_class.get(name, 0) for name in classes), row.total]
        for row in count.groups
    ]
    heads.append(["all on hand", *(count.by_class.get(name, 0) for name in classes), count.total])
    return Table(f"Head count {day}", ["Group", *classes, "all"], heads, f"Head on hand on {day}, by group and class.")


@require_safe
@needs(Role.READER)
def group(request: OfficeRequest, group_id: UUID) -> HttpResponseBase:
    """Who was in a group on a day, two hundred a page."""
    outfit, today = request.outfit, today_of(request.outfit)
    asked_group = get_object_or_404(Group.objects.of(outfit).select_related("location"), pk=group_id)
    day = past_day(request.GET.get("on", ""), today)
    ids = members_on(outfit, group_id, day)
    way = asked_way(request)
    if way:
        about = f"{len(ids)} head in {asked_group.name} on {day}. Weights in {outfit.unit.value}."
        return hand_out(request, way, Table(asked_group.name, COLUMNS, _member_rows(outfit, ids, day), about))
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


def past_day(text: str, today: date) -> date:
    """The day asked for; today for one that is none or has not come yet."""
    try:
        return min(date.fromisoformat(text), today)
    except ValueError:
        return today


def _members(outfit: Outfit, ids: Sequence[UUID], day: date) -> list[Member]:
    animals = Animal.objects.of(outfit).in_bulk(list(ids))
    worn = worn_by(outfit, ids)
    weighings = Event.objects.of(outfit).filter(animal__in=ids, kind="weight", happened_on__lte=day)
    last = {event.animal_id: event for event in weighings.order_by("happened_on", "pk")}
    if day < today_of(outfit):
        # A heifer that calved since was a heifer that day.
        for key, standing in standings_on(outfit, ids, day).items():
            if standing and key in animals:
                animals[key].animal_class = standing.animal_class
    held = withdrawals(outfit, ids, timezone.now() if day == today_of(outfit) else day)
    return [
        Member(animals[key], worn[key], last.get(key), latest_end(held.get(key, ()))) for key in ids if key in animals
    ]


def _member_rows(outfit: Outfit, ids: Sequence[UUID], day: date) -> Iterator[list[Cell]]:
    for some in in_steps(ids):
        for one in _members(outfit, some, day):
            weight = weight_in(one.weighed.weight_ng, outfit.unit) if one.weighed and one.weighed.weight_ng else None
            weighed = one.weighed.happened_on if one.weighed else None
            tag = " ".join(part for part in (one.worn.vid, one.worn.vid_colour) if part)
            yield [tag, one.worn.eid, say_class(one.animal, day), one.animal.born_on, weight, weighed]


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def new(request: OfficeRequest) -> HttpResponse:
    """Open a group."""
    form = GroupForm(request.POST or None, outfit=request.outfit)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            group_id = herd_groups.open_group(
                entry=entry_for(request, f"Opened the group {data['name']}"), **form.facts()
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The group {data['name']} is open.", group_id)
            return redirect("office:group", group_id)
    return render(request, "office/groups/new.html", {"here": "groups", "form": form})


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def change(request: OfficeRequest, group_id: UUID) -> HttpResponse:
    """Put a group's name, kind or location right."""
    known = get_object_or_404(Group.objects.of(request.outfit), pk=group_id)
    first = {"name": known.name, "kind": known.kind, "location": str(known.location_id or "")}
    form = GroupForm(request.POST or None, outfit=request.outfit, group=known, initial=first)
    if request.method == "POST" and form.is_valid():
        facts = {key: value for key, value in form.facts().items() if getattr(known, key) != value}
        if not facts:
            messages.info(request, "Nothing differs from the record, so nothing was written.")
            return redirect("office:group", group_id)
        try:
            herd_groups.change_group(
                entry=entry_for(request, f"Changed the group {known.name}"), group_id=group_id, facts=facts
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The group {form.cleaned_data['name']} is changed.", group_id)
            return redirect("office:group", group_id)
    return render(request, "office/groups/form.html", form_page(known, form, "Change the group", "Change it"))


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def close(request: OfficeRequest, group_id: UUID) -> HttpResponse:
    """Close a group, with where those still in it go."""
    known = get_object_or_404(Group.objects.of(request.outfit), pk=group_id)
    head = known.animals.filter(is_void=False).count()
    form = CloseForm(request.POST or None, group=known, today=today_of(request.outfit), head=head)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            herd_groups.close_group(
                entry=entry_for(request, f"Closed the group {known.name}"),
                group=known,
                on=data["on"],
                into_id=as_uuid(data.get("into", "")),
            )
        except Refused as refused:
            show_refusals(form, refused, {"day": "on", "group": "into"})
        else:
            tell_written(request, f"The group {known.name} is closed.", group_id)
            return redirect("office:groups")
    page = form_page(known, form, "Close the group", "Close it")
    page["about"] = f"{head} head in it now." if head else "Nobody is in it. What is known of its past stays."
    return render(request, "office/groups/form.html", page)


@require_POST
@needs(Role.OFFICE)
def reopen(request: OfficeRequest, group_id: UUID) -> HttpResponse:
    """Open a closed group again."""
    known = get_object_or_404(Group.objects.of(request.outfit), pk=group_id)
    herd_groups.reopen_group(entry=entry_for(request, f"Opened the group {known.name} again"), group=known)
    tell_written(request, f"The group {known.name} is open again.", group_id)
    return redirect("office:group", group_id)


def form_page(known: Group, form: object, title: str, button: str) -> dict[str, object]:
    """What the page of a form about a group shows."""
    return {"here": "groups", "group": known, "form": form, "title": title, "button": button, "about": ""}
