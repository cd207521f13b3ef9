"""A forgotten password set anew by a one-time code, without signing in."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from herd.accounts.resetcodes import use_code
from herd.accounts.services import AccountError
from herd.office.forms.accounts import ResetForm, show_account_error
from herd.office.throttle import door_of

WAIT = "Too many codes failed for this name from here. Wait ten minutes, then try again."


@never_cache
@require_http_methods(["GET", "POST"])
def reset(request: HttpRequest) -> HttpResponse:
    """Take user name, code and new password; shut for ten minutes after eight failures, as sign-in is."""
    if request.method != "POST":
        return render(request, "office/account/reset.html", {"form": ResetForm()})
    form = ResetForm(request.POST)
    door = door_of(request, request.POST.get("username", ""), "reset")
    if door.is_shut:
        return render(request, "office/account/reset.html", {"form": form, "wait": WAIT}, status=429)
    if form.is_valid():
        data = form.cleaned_data
        try:
            person = use_code(username=data["username"], code=data["code"], password=data["password"])
        except AccountError as problem:
            if problem.field == "code":
                door.count_failure()
            show_account_error(form, problem)
        else:
            door.open()
            # The name's wait at the sign-in door would outlast the reason for it.
            door_of(request, person.username).open()
            messages.success(request, "Your password is set, and every other place you were signed in is signed out.")
            return redirect("office:sign-in")
    return render(request, "office/account/reset.html", {"form": form})
