"""Admin pages of people and roles, and what every list that goes out and comes in as a file shares."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.contrib import admin, messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import reverse
from import_export.admin import ImportExportMixin
from import_export.forms import ConfirmImportForm, ExportForm

from herd.accounts.adminscope import OutfitAdmin, ServiceAdmin, ServiceForm, may_enter
from herd.accounts.models import OutfitChange, OutfitPerson, Role
from herd.accounts.resources import CarriedFile, CsvFormat, PeopleResource, XlsxFormat
from herd.accounts.services import AccountError, add_person, change_role, remove_person

ELSEWHERE = "You chose another outfit since the file was looked at. Nothing was written; give the file once more."


class OutfitConfirmForm(ConfirmImportForm):
    """The confirmation of an import, with the outfit that the file was looked at for."""

    outfit = forms.CharField(widget=forms.HiddenInput())


class FileExchange(ImportExportMixin):
    """A list's files, out and in; what comes in is shown before it is written."""

    formats: ClassVar = [CsvFormat, XlsxFormat]
    export_form_class = ExportForm
    confirm_form_class = OutfitConfirmForm
    tmp_storage_class = CarriedFile
    skip_admin_log = True
    import_template_name = "admin/file_in.html"
    roles: frozenset[Role]

    def has_import_permission(self, request: HttpRequest) -> bool:
        return may_enter(request, self.roles)

    def has_export_permission(self, request: HttpRequest) -> bool:
        return may_enter(request, self.roles)

    def get_resource_kwargs(self, request: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        return {"outfit": request.outfit, "person": request.user}

    def get_valid_export_item_pks(self, request: HttpRequest) -> Any:
        return self.get_queryset(request).values_list("pk", flat=True)

    def get_confirm_form_initial(self, request: Any, import_form: Any) -> dict[str, Any]:
        initial = super().get_confirm_form_initial(request, import_form)
        return {**initial, "outfit": str(request.outfit.pk)} if import_form else initial

    def add_data_read_fail_error_to_form(self, form: Any, e: Exception) -> None:
        form.add_error("import_file", str(e) if isinstance(e, ValueError) else "The file can't be read.")

    def process_import(self, request: Any, **kwargs: Any) -> HttpResponse:
        """Write what was shown, for the outfit for which it was shown."""
        if request.method != "POST" or not self.has_import_permission(request):
            return super().process_import(request, **kwargs)
        problem = "" if request.POST.get("outfit") == str(request.outfit.pk) else ELSEWHERE
        if not problem:
            try:
                return super().process_import(request, **kwargs)
            except (ValueError, IndexError) as refused:
                problem = str(refused)
        messages.error(request, problem)
        return HttpResponseRedirect(reverse(f"admin:{self.opts.app_label}_{self.opts.model_name}_import"))

    def process_result(self, result: Any, request: HttpRequest) -> HttpResponse:
        """Lead back to the list; where the record has moved on in between, show what is wrong now."""
        if not result.has_errors() and not result.wrong:
            return super().process_result(result, request)
        context = {
            **self.admin_site.each_context(request),
            "title": "Import",
            "opts": self.opts,
            "form": self.create_import_form(_without_data(request)),
            "result": result,
        }
        return TemplateResponse(request, self.import_template_name, context, status=409)


def _without_data(request: HttpRequest) -> HttpRequest:
    """The request as one that only asks, so that a form stands empty."""
    bare = HttpRequest()
    bare.user, bare.method = request.user, "GET"
    return bare


class PersonAdminForm(ServiceForm):
    """A person by user name, and the role."""

    username = forms.CharField(label="User name", max_length=150)
    password = forms.CharField(
        label="First password",
        required=False,
        strip=False,
        max_length=200,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="For someone new here; on the page People of the site a one-time code can be made instead.",
    )

    class Meta:
        model = OutfitPerson
        fields = ("role",)


@admin.register(OutfitPerson)
class PeopleAdmin(FileExchange, ServiceAdmin):
    """Who is in the outfit, in which role; for owners."""

    roles = frozenset({Role.OWNER})
    refuses = (AccountError,)
    resource_classes: ClassVar = [PeopleResource]
    list_display = ("username", "person", "role", "last_sign_in")
    list_filter = ("role",)
    list_select_related = ("person",)
    search_fields = ("person__username", "person__first_name", "person__last_name")
    ordering = ("person__username",)

    @admin.display(ordering="person__username", description="user name")
    def username(self, obj: OutfitPerson) -> str:
        return obj.person.username

    @admin.display(description="last sign-in")
    def last_sign_in(self, obj: OutfitPerson) -> Any:
        return obj.person.last_login

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:  # noqa: FBT001, FBT002
        """A new person has name and password to give; one who is here only another role."""
        if obj is None:
            kwargs["form"] = PersonAdminForm
        return super().get_form(request, obj, change, **kwargs)

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return ("role",) if obj else ("username", "role", "password")

    def add(self, request: Any, facts: Mapping[str, Any]) -> Any:
        name = facts["username"].strip()
        if OutfitPerson.objects.filter(outfit=request.outfit, person__username=name).exists():
            raise AccountError(f"{name} is in this outfit already.", "username")
        person = add_person(
            outfit=request.outfit,
            username=name,
            role=Role(facts["role"]),
            password=facts.get("password"),
            by=request.user,
        )
        return OutfitPerson.objects.get(outfit=request.outfit, person=person).pk

    def change(self, request: Any, obj: OutfitPerson, facts: Mapping[str, Any]) -> None:
        change_role(place=obj, role=Role(facts["role"]), by=request.user)

    def take_out(self, request: Any, obj: OutfitPerson) -> None:
        remove_person(place=obj, by=request.user)


@admin.register(OutfitChange)
class OutfitChangeAdmin(OutfitAdmin):
    """What was changed about people, passwords, standing rules and recipes."""

    list_display = ("recorded_at", "person_name", "kind", "says")
    list_filter = ("kind",)
    search_fields = ("says", "person_name")
    fields = ("recorded_at", "person_name", "kind", "says")
