"""Who asks, for which outfit, in which role: put on every request, and asked for by every view."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, resolve_url

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.ledger.models import Changeset

CHOSEN = "outfit"

RANK = {Role.READER: 0, Role.CREW: 1, Role.OFFICE: 2, Role.OWNER: 3}

REFUSALS = {
    Role.CREW: "Your role in this outfit is to read. Ask its owner to make you crew if you have to write.",
    Role.OFFICE: "This is for the office and the owner. Your work so far is kept; ask one of them to go on.",
    Role.OWNER: "This is for the owner of the outfit.",
}

View = Callable[..., HttpResponseBase]


class OfficeRequest(HttpRequest):
    """A request that has passed `needs`: it has its person, outfit and role."""

    user: Person
    outfit: Outfit
    role: Role


class Elsewhere(Exception):  # noqa: N818
    """Raised in a view that can't go on: `needs` sends the person to the address, with the sentence on top."""

    def __init__(self, address: str, sentence: str) -> None:
        super().__init__(sentence)
        self.address = address


class OutfitOfRequest:
    """Puts `outfit` and `role` on each request; both None for people not signed in or in several outfits.

    Someone in several outfits chooses one, and the session remembers it.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        place = _place_of(request) if request.user.is_authenticated else None
        request.outfit = place.outfit if place else None  # type: ignore[attr-defined]
        request.role = Role(place.role) if place else None  # type: ignore[attr-defined]
        return self.get_response(request)


def places_of(person: Any) -> list[OutfitPerson]:
    """Return the person's roles with their outfits, by the outfit's name."""
    return list(OutfitPerson.objects.filter(person=person).select_related("outfit").order_by("outfit__name"))


def _place_of(request: HttpRequest) -> OutfitPerson | None:
    places = places_of(request.user)
    chosen = request.session.get(CHOSEN)
    for place in places:
        if str(place.outfit_id) == chosen:
            return place
    return places[0] if len(places) == 1 else None


def has_role(role: Role | None, least: Role) -> bool:
    """Whether a role is at least this one."""
    return role is not None and RANK[role] >= RANK[least]


def may_undo(role: Role | None, person: Any, changeset: Changeset) -> bool:
    """Whether someone may take a changeset back: the office all, crew what they wrote by hand themselves."""
    is_own = changeset.person_id == person.pk and changeset.day_id is None
    return has_role(role, Role.OFFICE) or (is_own and has_role(role, Role.CREW))


def needs(least: Role, *, to_post: Role | None = None) -> Callable[[View], View]:
    """Let a view be called only by people of the outfit with at least this role.

    `to_post` asks for more where the request would write. Others are sent to sign in, to choose an outfit, or
    are told in a sentence (PermissionDenied, the page 403).
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: OfficeRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            away = _send_away(request)
            if away is not None:
                return away
            asked = to_post if to_post and request.method not in {"GET", "HEAD"} else least
            if not has_role(request.role, asked):
                raise PermissionDenied(REFUSALS[asked])
            try:
                return view(request, *args, **kwargs)
            except Elsewhere as onward:
                messages.warning(request, str(onward))
                return redirect(onward.address)

        return guarded

    return decorate


def _send_away(request: HttpRequest) -> HttpResponse | None:
    """Return where someone goes who is not signed in or has no outfit chosen."""
    if not request.user.is_authenticated:
        if request.headers.get("HX-Request"):
            # A piece of a page can't become the sign-in page: the whole page goes there.
            return HttpResponse(status=204, headers={"HX-Redirect": resolve_url("office:sign-in")})
        return redirect_to_login(request.get_full_path())
    if getattr(request, "outfit", None) is None:
        return redirect("office:choose-outfit")
    return None
