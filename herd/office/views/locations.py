"""Locations: the list with head on a day, the animals at one, a whole group moved there, and what is written of one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herd.accounts.models import Outfit, Role
from herd.ledger.rows import in_steps
from herd.office.access import OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.fields import show_refusals
from herd.office.forms.groups import LocationForm, PlaceForm
from herd.office.saying import say_class, say_day
from herd.office.tables import Cell, Table
from herd.office.telling import entry_for, tell_written
from herd.office.today import today_of
from herd.office.views.groups import form_page, past_day
from herd.office.wording import as_uuid
from herd.registry.models import Animal, Group, Location
from herd.registry.queries.headcount import count_places_on
from herd.registry.queries.stays import animals_at
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.services import groups as herd_groups
from herd.registry.services import lists
from herd.registry.services.refused import Refused

A_PAGE = 200
HEADINGS = ("Location", "Premises number", "Groups there now", "Head")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the list of locations; `place` is None for animals whose location is not known."""

    place: Location | None
    groups: list[Group]
    head: int


@dataclass(frozen=True, slots=True)
class Resident:
    """One animal at a location."""

    animal: Animal
    worn: Worn


@require_safe
@needs(Role.READER)
def locations(request: OfficeRequest) -> HttpResponseBase:
    """The locations with the head there, today or on a past day."""
    outfit, today = request.outfit, today_of(request.outfit)
    day = past_day(request.GET.get("on", ""), today)
    rows = _rows(outfit, day)
    way = asked_way(request)
    if way:
        cells = ([one.place.name if one.place else "not known", *_more(one), one.head] for one in rows)
        return hand_out(request, way, Table(f"Locations {day}", HEADINGS, cells, f"Head on hand on {day}."))
    context = {"here": "groups", "rows": rows, "day": day, "today": today, "all": sum(one.head for one in rows)}
    return render(request, "office/locations/locations.html", context)


def _rows(outfit: Outfit, day: date) -> list[Row]:
    heads = {key: count.total for key, count in count_places_on(outfit, day).items()}
    lying: dict[UUID | None, list[Group]] = {}
    for group in Group.objects.of(outfit).filter(is_closed=False):
        lying.setdefault(group.location_id, []).append(group)
    places = [one for one in Location.objects.of(outfit) if not one.is_retired or heads.get(one.pk)]
    rows = [Row(one, lying.get(one.pk, []), heads.get(one.pk, 0)) for one in places]
    return [*rows, Row(None, lying.get(None, []), heads[None])] if heads.get(None) else rows


def _more(row: Row) -> list[Cell]:
    number = row.place.premises_number if row.place else ""
    return [number, ", ".join(group.name for group in row.groups)]


@require_safe
@needs(Role.READER)
def location(request: OfficeRequest, location_id: UUID) -> HttpResponseBase:
    """The animals at a location on a day, two hundred a page."""
    outfit, today = request.outfit, today_of(request.outfit)
    place = get_object_or_404(Location.objects.of(outfit), pk=location_id)
    day = past_day(request.GET.get("on", ""), today)
    ids = animals_at(outfit, location_id, day)
    way = asked_way(request)
    if way:
        columns = ("Visual tag", "EID", "Class", "Born", "Group now")
        about = f"{len(ids)} head at {place.name} on {day}."
        return hand_out(request, way, Table(place.name, columns, _resident_rows(outfit, ids, day), about))
    after = as_uuid(request.GET.get("after", ""))
    rest = [one for one in ids if after is None or one > after]
    page = rest[:A_PAGE]
    context = {
        "here": "groups",
        "place": place,
        "day": day,
        "today": today,
        "head": len(ids),
        "groups": Group.objects.of(outfit).filter(location=place, is_closed=False),
        "residents": _residents(outfit, page),
        "first": len(ids) - len(rest) + 1,
        "last": len(ids) - len(rest) + len(page),
        "next": page[-1] if len(rest) > len(page) else None,
        "is_later_page": after is not None,
    }
    return render(request, "office/locations/location.html", context)


def _residents(outfit: Outfit, ids: Sequence[UUID]) -> list[Resident]:
    animals = Animal.objects.of(outfit).select_related("group").in_bulk(list(ids))
    worn = worn_by(outfit, ids)
    return [Resident(animals[key], worn[key]) for key in ids if key in animals]


def _resident_rows(outfit: Outfit, ids: Sequence[UUID], day: date) -> Iterator[list[Cell]]:
    for some in in_steps(ids):
        for one in _residents(outfit, some):
            tag = " ".join(part for part in (one.worn.vid, one.worn.vid_colour) if part)
            group = one.animal.group.name if one.animal.group else ""
            yield [tag, one.worn.eid, say_class(one.animal, day), one.animal.born_on, group]


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def new(request: OfficeRequest) -> HttpResponse:
    """Open a location."""
    form = LocationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            place_id = herd_groups.open_location(
                entry=entry_for(request, f"Opened the location {data['name']}"), **data
            )
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The location {data['name']} is open.", place_id)
            return redirect("office:location", place_id)
    context = {"here": "groups", "form": form, "title": "Open a location", "button": "Open it"}
    return render(request, "office/locations/form.html", context)


@require_http_methods(["GET", "POST"])
@needs(Role.OFFICE)
def change(request: OfficeRequest, location_id: UUID) -> HttpResponse:
    """Put a location's name or premises number right."""
    place = get_object_or_404(Location.objects.of(request.outfit), pk=location_id)
    first = {"name": place.name, "premises_number": place.premises_number}
    form = LocationForm(request.POST or None, initial=first)
    if request.method == "POST" and form.is_valid():
        facts = {key: value for key, value in form.cleaned_data.items() if first[key] != value}
        if not facts:
            messages.info(request, "Nothing differs from the record, so nothing was written.")
            return redirect("office:location", location_id)
        entry = entry_for(request, f"Changed the location {place.name}")
        try:
            lists.correct(entry=entry, subject=Location.SUBJECT, row_id=location_id, facts=facts)
        except Refused as refused:
            show_refusals(form, refused)
        else:
            tell_written(request, f"The location {form.cleaned_data['name']} is changed.", location_id)
            return redirect("office:location", location_id)
    context = {"here": "groups", "place": place, "form": form, "title": "Change the location", "button": "Change it"}
    return render(request, "office/locations/form.html", context)


@require_POST
@needs(Role.OFFICE)
def retire(request: OfficeRequest, location_id: UUID) -> HttpResponse:
    """Take a location out of use, or with `back` into use again."""
    place = get_object_or_404(Location.objects.of(request.outfit), pk=location_id)
    is_retired = not request.POST.get("back")
    words = "out of use" if is_retired else "in use again"
    try:
        entry = entry_for(request, f"The location {place.name} is {words}")
        herd_groups.retire_location(entry=entry, location=place, is_retired=is_retired)
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        tell_written(request, f"The location {place.name} is {words}.", location_id)
    return redirect("office:location", location_id)


@require_http_methods(["GET", "POST"])
@needs(Role.CREW)
def place_group(request: OfficeRequest, group_id: UUID) -> HttpResponse:
    """Move a whole group to another location on a day."""
    group = get_object_or_404(Group.objects.of(request.outfit).select_related("location"), pk=group_id)
    form = PlaceForm(request.POST or None, group=group, today=today_of(request.outfit))
    if request.method == "POST" and form.is_valid():
        place = get_object_or_404(Location.objects.of(request.outfit), pk=form.cleaned_data["location"])
        on = form.cleaned_data["on"]
        entry = entry_for(request, f"Moved the group {group.name} to {place.name}")
        try:
            head = herd_groups.move_to_location(entry=entry, group=group, location=place, on=on)
        except Refused as refused:
            show_refusals(form, refused, {"happened_on": "on"})
        else:
            sentence = f"{group.name} lies at {place.name} since {say_day(on)}; {head} head moved."
            tell_written(request, sentence, group_id)
            return redirect("office:group", group_id)
    page = form_page(group, form, "Move the whole group", "Move the group")
    page["about"] = f"It lies at {group.location.name} now." if group.location else "Its location is not given yet."
    return render(request, "office/groups/form.html", page)
