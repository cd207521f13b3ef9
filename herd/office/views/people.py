"""The people of an outfit: who they are, what they may do, how one joins, changes role or leaves."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from herd.accounts.models import OutfitPerson, Person, Role
from herd.accounts.resetcodes import make_code, may_make_code
from herd.accounts.services import (
    AccountError,
    add_person,
    add_person_without_password,
    change_role,
    is_known_person,
    remove_person,
)
from herd.office.access import RANK, OfficeRequest, needs
from herd.office.exports import asked_way, hand_out
from herd.office.forms.accounts import PersonForm, RoleForm, show_account_error
from herd.office.saying import say_moment
from herd.office.tables import Table

MAY = {
    Role.READER: "Sees every page and takes lists along. Writes nothing.",
    Role.CREW: "Also records work: processing days, tags, events, moves and counts. Takes back their own work.",
    Role.OFFICE: "Also keeps the lists, groups and locations, merges records, and takes back anyone's work.",
    Role.OWNER: "Also says who belongs to the outfit and in which role, and makes codes for forgotten passwords.",
}


@require_safe
@needs(Role.OWNER)
def people(request: OfficeRequest) -> HttpResponseBase:
    """Everyone in the outfit with role and last sign-in."""
    places = list(OutfitPerson.objects.filter(outfit=request.outfit).select_related("person"))
    places.sort(key=lambda place: (-RANK[Role(place.role)], str(place.person).casefold()))
    if way := asked_way(request):
        return hand_out(request, way, _as_table(request, places))
    context = {
        "here": "people",
        "places": [(place, RoleForm(initial={"role": place.role}, auto_id=f"id_{place.pk}_%s")) for place in places],
        "roles": [(role.label, says) for role, says in MAY.items()],
    }
    return render(request, "office/people/people.html", context)


def _as_table(request: OfficeRequest, places: list[OutfitPerson]) -> Table:
    rows = [
        (place.person.username, str(place.person), place.get_role_display(), last_sign_in(request, place.person))
        for place in places
    ]
    return Table(f"People of {request.outfit}", ("User name", "Name", "Role", "Last sign-in"), rows)


def last_sign_in(request: OfficeRequest, person: Person) -> str:
    """When someone signed in last, in the outfit's time."""
    return say_moment(person.last_login, request.outfit.zone) if person.last_login else "never"


@never_cache
@require_http_methods(["GET", "POST"])
@needs(Role.OWNER)
def new(request: OfficeRequest) -> HttpResponse:
    """Add someone to the outfit; where no password is given, show a one-time code this once."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            answer = _add(request, form)
        except AccountError as problem:
            show_account_error(form, problem)
        else:
            return answer
    context = {"here": "people", "form": form, "roles": [(role.label, says) for role, says in MAY.items()]}
    return render(request, "office/people/new.html", context)


def _add(request: OfficeRequest, form: PersonForm) -> HttpResponse:
    data = form.cleaned_data
    name, role = data["username"].strip(), Role(data["role"])
    full_name = (data["given"].strip(), data["family"].strip())
    if OutfitPerson.objects.filter(outfit=request.outfit, person__username=name).exists():
        raise AccountError(f"{name} is in this outfit already; change the role in the list of people.", "username")
    if not data["password"] and not is_known_person(name):
        person = add_person_without_password(
            outfit=request.outfit, username=name, role=role, full_name=full_name, by=request.user
        )
        return _show_code(request, person)
    is_known = is_known_person(name)
    person = add_person(
        outfit=request.outfit,
        username=name,
        role=role,
        password=data["password"],
        full_name=full_name,
        by=request.user,
    )
    how = "and keeps the password used so far" if is_known else "and signs in with the password you gave"
    messages.success(request, f"{person} belongs to {request.outfit} as {role.label} now, {how}.")
    return redirect("office:people")


@require_POST
@needs(Role.OWNER)
def role(request: OfficeRequest, place_id: UUID) -> HttpResponse:
    """Give someone another role."""
    place = _place(request, place_id)
    form = RoleForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Pick one of the four roles. Nothing was changed.")
        return redirect("office:people")
    try:
        change_role(place=place, role=Role(form.cleaned_data["role"]), by=request.user)
    except AccountError as problem:
        messages.error(request, str(problem))
    else:
        messages.success(request, f"{place.person} is {Role(form.cleaned_data['role']).label} now.")
    # Someone who gave up the own owner's role may not see the list any more.
    return redirect("office:home" if place.person_id == request.user.pk else "office:people")


@require_http_methods(["GET", "POST"])
@needs(Role.OWNER)
def remove(request: OfficeRequest, place_id: UUID) -> HttpResponse:
    """Ask, then take someone out of the outfit."""
    place = _place(request, place_id)
    problem = ""
    if request.method == "POST":
        try:
            remove_person(place=place, by=request.user)
        except AccountError as refused:
            problem = str(refused)
        else:
            messages.success(request, f"{place.person} does not belong to {request.outfit} any more.")
            return redirect("office:home" if place.person_id == request.user.pk else "office:people")
    context = {"here": "people", "place": place, "problem": problem}
    return render(request, "office/people/remove.html", context, status=409 if problem else 200)


@never_cache
@require_http_methods(["GET", "POST"])
@needs(Role.OWNER)
def code(request: OfficeRequest, place_id: UUID) -> HttpResponse:
    """Ask, then make a one-time code and show it this once."""
    place = _place(request, place_id)
    if request.method == "POST":
        try:
            return _show_code(request, place.person)
        except AccountError as problem:
            messages.error(request, str(problem))
            return redirect("office:people")
    context = {
        "here": "people",
        "place": place,
        "may_make": may_make_code(owner=request.user, person=place.person),
    }
    return render(request, "office/people/ask_code.html", context)


def _show_code(request: OfficeRequest, person: Person) -> HttpResponse:
    """Answer a POST with the code itself: kept nowhere, not even for a redirect."""
    made = make_code(person=person, by=request.user)
    return render(request, "office/people/code.html", {"here": "people", "person": person, "code": made})


def _place(request: OfficeRequest, place_id: UUID) -> OutfitPerson:
    rows = OutfitPerson.objects.filter(outfit=request.outfit).select_related("person", "outfit")
    return get_object_or_404(rows, pk=place_id)
