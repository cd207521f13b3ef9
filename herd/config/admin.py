"""The admin site: lists of the chosen outfit for its office and owner, behind the office's own sign-in."""

from functools import wraps
from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.auth.views import LogoutView, redirect_to_login
from django.core.exceptions import PermissionDenied
from django.db.models.base import ModelBase
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template.response import SimpleTemplateResponse
from django.urls import URLPattern, URLResolver, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from herd.accounts.adminscope import may_enter

LEFT_OUT = frozenset({"view_on_site", "autocomplete"})
PLURALS = {"TagBox": "Tag boxes", "HeadCheck": "Head counts", "HerdList": "Kept herd lists"}
NOT_YOURS = "The lists are for the office and the owner of the outfit."


class OutfitAdminSite(AdminSite):
    """Asks the office's middleware who is here, and signs nobody in itself."""

    site_header = "Notchbook: lists"
    site_title = "Notchbook lists"
    index_title = "Lists and the record"
    empty_value_display = ""

    def register(self, model_or_iterable: Any, admin_class: Any = None, **options: Any) -> None:
        """Take pages of our own rooms; groups of permissions, which Django brings along, mean nothing here."""
        given = [model_or_iterable] if isinstance(model_or_iterable, ModelBase) else model_or_iterable
        ours = [model for model in given if model.__module__.startswith("herd.")]
        super().register(ours, admin_class, **options)

    def has_permission(self, request: HttpRequest) -> bool:
        return may_enter(request)

    def admin_view(self, view: Any, cacheable: bool = False) -> Any:  # noqa: FBT001, FBT002
        """Say in a sentence that it is not theirs to people who are signed in and may not enter."""
        inner = super().admin_view(view, cacheable)

        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            away = _away(request, request.get_full_path())
            if away is not None:
                return away
            # Moments are shown, and read in forms, in the outfit's own time; so the page is made in here.
            with timezone.override(request.outfit.zone):  # type: ignore[attr-defined]
                answer: HttpResponse = inner(request, *args, **kwargs)
                return answer.render() if isinstance(answer, SimpleTemplateResponse) else answer

        return guarded

    def login(self, request: HttpRequest, extra_context: Any = None) -> HttpResponse:
        """Send people to the office's sign-in, with its throttle, and those who are signed in onward."""
        onward = request.GET.get("next", "")
        is_ours = url_has_allowed_host_and_scheme(onward, {request.get_host()}, require_https=request.is_secure())
        onward = onward if is_ours else reverse("admin:index")
        return _away(request, onward) or redirect(onward)

    def logout(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """Sign out as the office does."""
        return LogoutView.as_view()(request)

    def password_change(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """The password is changed in the office."""
        return redirect("office:password")

    def password_change_done(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """There is one page for the password."""
        return redirect("office:password")

    def get_app_list(self, request: HttpRequest, app_label: str | None = None) -> list[Any]:
        """The tables by room, called as people say."""
        rooms = super().get_app_list(request, app_label)
        for room in rooms:
            for model in room["models"]:
                model["name"] = PLURALS.get(model["object_name"], model["name"])
        return rooms

    def get_urls(self) -> list[URLResolver | URLPattern]:
        """Without the addresses that look into any table from aside, which no page here uses."""
        return [one for one in super().get_urls() if getattr(one, "name", "") not in LEFT_OUT]


def _away(request: HttpRequest, onward: str) -> HttpResponse | None:
    if not request.user.is_authenticated:
        return redirect_to_login(onward, reverse("office:sign-in"))
    if getattr(request, "outfit", None) is None:
        return redirect("office:choose-outfit")
    if not may_enter(request):
        raise PermissionDenied(NOT_YOURS)
    return None
