"""Signing in and out, the first run, the password, and the choice of an outfit."""

from ipaddress import ip_address
from typing import Any

from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.mixins import LoginRequiredMixin
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from herd.accounts.models import Outfit, Person, Role
from herd.accounts.resetcodes import note_own_change
from herd.accounts.services import AccountError, add_person, open_outfit
from herd.office.access import CHOSEN, places_of
from herd.office.forms.accounts import FirstRunForm, SignInForm
from herd.office.throttle import WAIT, door_of
from herd.values.mass import WeightUnit

FROM_ELSEWHERE = (
    "The first outfit is made at the machine that runs Notchbook: open this page there, or use manage.py outfit."
)


class SignIn(LoginView):
    """Name and password; shut for ten minutes after eight failures of one name from one address."""

    template_name = "office/account/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
        """Send the very first visitor to the first run."""
        if not Outfit.objects.exists():
            return redirect("office:first-run")
        return super().dispatch(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Check the door before the password is looked at."""
        door = door_of(request, request.POST.get("username", ""))
        if door.is_shut:
            return render(request, self.template_name, {"form": SignInForm(request), "wait": WAIT}, status=429)
        response = super().post(request, *args, **kwargs)
        if response.status_code == 302:
            door.open()
        else:
            door.count_failure()
        return response


class ChangePassword(LoginRequiredMixin, PasswordChangeView):
    """The signed-in person's own password."""

    template_name = "office/account/password.html"

    def form_valid(self, form: Any) -> HttpResponse:
        """Note it for the activity; Django ends the person's other sessions with the old password."""
        answer = super().form_valid(form)
        note_own_change(form.user)
        return answer

    def get_success_url(self) -> str:
        """Say that it is changed, and go home."""
        messages.success(self.request, "Your password is changed.")
        return resolve_url("office:home")


@require_http_methods(["GET", "POST"])
def first_run(request: HttpRequest) -> HttpResponse:
    """Make the first outfit and its owner; there is no such page once an outfit exists."""
    if Outfit.objects.exists():
        return redirect("office:sign-in")
    if not _is_this_machine(request):
        raise PermissionDenied(FROM_ELSEWHERE)
    form = FirstRunForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        person = _begin(form)
        if person is not None:
            login(request, person)
            return redirect("office:home")
    return render(request, "office/account/first_run.html", {"form": form})


def _is_this_machine(request: HttpRequest) -> bool:
    """Whether the visitor sits at the machine that serves; else whoever came first would own the installation."""
    try:
        return ip_address(str(request.META.get("REMOTE_ADDR", ""))).is_loopback
    except ValueError:
        return False


def _begin(form: FirstRunForm) -> Person | None:
    data = form.cleaned_data
    try:
        with transaction.atomic():
            if Outfit.objects.exists():
                form.add_error(None, "The first outfit was made a moment ago; sign in to it.")
                return None
            outfit = open_outfit(
                code=data["code"],
                name=data["name"],
                time_zone=data["time_zone"],
                weight_unit=WeightUnit(data["weight_unit"]),
            )
            return add_person(outfit=outfit, username=data["username"], password=data["password"], role=Role.OWNER)
    except AccountError as problem:
        form.add_error(None, str(problem))
    except ValidationError as problem:
        form.add_error(None, problem)
    return None


@require_http_methods(["GET", "POST"])
def choose_outfit(request: HttpRequest) -> HttpResponse:
    """Choose which outfit to work in; the session remembers it."""
    if not request.user.is_authenticated:
        return redirect("office:sign-in")
    places = places_of(request.user)
    asked = request.POST.get("outfit", "")
    if request.method == "POST" and asked in {str(place.outfit_id) for place in places}:
        request.session[CHOSEN] = asked
        onward = request.POST.get("next", "")
        is_ours = url_has_allowed_host_and_scheme(onward, {request.get_host()}, require_https=request.is_secure())
        return redirect(onward if is_ours else "office:home")
    return render(request, "office/account/choose_outfit.html", {"places": places})
