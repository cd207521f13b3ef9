"""What all pages of the admin share: one outfit's rows only, for office and owner only, written by services only."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.contrib import admin
from django.db import models, transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.template.response import TemplateResponse

from herd.accounts.models import Role

OFFICE_AND_OWNER = frozenset({Role.OFFICE, Role.OWNER})
Reasons = list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class PastLine:
    """One line of a row's history."""

    at: datetime
    who: str
    says: str


def may_enter(request: HttpRequest, roles: frozenset[Role] = OFFICE_AND_OWNER) -> bool:
    """Whether the person's role in the chosen outfit is one of these; the office's middleware has put it there."""
    person = getattr(request, "user", None)
    return bool(person and person.is_authenticated) and getattr(request, "role", None) in roles


def rehearse(write: Callable[[], object], refuses: tuple[type[ValueError], ...]) -> Reasons:
    """Write and take it back at once; return what was refused as field and sentence."""
    try:
        with transaction.atomic():
            write()
            transaction.set_rollback(True)
    except refuses as problem:
        return reasons_of(problem)
    return []


def reasons_of(problem: ValueError) -> Reasons:
    """The field and the sentence of each reason."""
    refusals = getattr(problem, "refusals", None)
    if refusals is not None:
        return list(dict.fromkeys((one.field, one.reason) for one in refusals))
    return [(getattr(problem, "field", ""), str(problem))]


class OutfitAdmin(admin.ModelAdmin):
    """Rows of the chosen outfit to look at; `outfit_path` leads from a row to its outfit.

    Nothing can be added, changed or deleted, and there are no actions on many rows.
    """

    outfit_path = "outfit"
    standing: ClassVar[Mapping[str, Any]] = {}
    roles = OFFICE_AND_OWNER
    actions = None
    show_full_result_count = False
    list_per_page = 100
    object_history_template = "admin/outfit_history.html"

    def has_module_permission(self, request: HttpRequest) -> bool:
        return may_enter(request, self.roles)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return may_enter(request, self.roles)

    def has_add_permission(self, request: HttpRequest, *args: Any) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def get_queryset(self, request: HttpRequest) -> models.QuerySet[Any]:
        """The outfit's rows, of which every list, choice, export and single page is a part."""
        rows = super().get_queryset(request)
        return rows.filter(**{self.outfit_path: request.outfit}, **self.standing)  # type: ignore[attr-defined]

    def get_object(self, request: HttpRequest, object_id: str, from_field: str | None = None) -> Any:
        """The row; Http404 where the outfit has none with this id."""
        found = super().get_object(request, object_id, from_field)
        if found is None:
            raise Http404
        return found

    def lookup_allowed(self, lookup: str, value: str, request: HttpRequest) -> bool:
        """Only the filters that the page offers; others could feel their way to hidden columns."""
        offered = {one for one in self.get_list_filter(request) if isinstance(one, str)}
        return lookup.removesuffix("__exact").removesuffix("__isnull") in offered

    def formfield_for_foreignkey(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        """Offer the rows of the outfit only, and none of a table that has no page here."""
        target = db_field.remote_field.model
        registered = self.admin_site.is_registered(target)
        kwargs["queryset"] = (
            self.admin_site.get_model_admin(target).get_queryset(request)
            if registered
            else target._default_manager.none()
        )
        return super().formfield_for_foreignkey(db_field, request, **kwargs)

    def history_of(self, obj: Any) -> list[PastLine]:
        """What became of a row, newest first."""
        return []

    def history_view(self, request: HttpRequest, object_id: str, extra_context: Any = None) -> HttpResponse:
        """The row's history as it was noted with each write; the admin keeps no log of its own."""
        obj = self.get_object(request, object_id)
        context = {
            **self.admin_site.each_context(request),
            "title": f"History of {obj}",
            "opts": self.opts,
            "object": obj,
            "lines": self.history_of(obj),
        }
        return TemplateResponse(request, self.object_history_template, context)

    def log_addition(self, request: HttpRequest, obj: Any, message: Any) -> Any:
        """The service has noted it."""

    def log_change(self, request: HttpRequest, obj: Any, message: Any) -> Any:
        """The service has noted it."""

    def log_deletions(self, request: HttpRequest, queryset: Any) -> Any:
        """The service has noted it."""


class ServiceForm(forms.ModelForm):
    """A form whose last check is to try the write itself; what the service refuses stands beside its field."""

    rehearsal: Callable[[], Reasons]

    def _post_clean(self) -> None:
        super()._post_clean()  # type: ignore[misc]
        if not self.errors:
            for field, reason in self.rehearsal():
                name = field if field in self.fields else None
                self.add_error(name, reason)

    def facts(self) -> dict[str, Any]:
        """What was changed, by column."""
        values = {name: self.cleaned_data.get(name) for name in self.changed_data if name in self.cleaned_data}
        return {
            f"{name}_id" if isinstance(value, models.Model) else name: getattr(value, "pk", value)
            for name, value in values.items()
        }


class ServiceAdmin(OutfitAdmin):
    """Rows that are added, changed and taken out by a service; subclasses say by which."""

    form = ServiceForm
    refuses: tuple[type[ValueError], ...] = ()
    delete_confirmation_template = "admin/take_out.html"

    def add(self, request: Any, facts: Mapping[str, Any]) -> Any:
        """Add a row and return its id."""
        raise NotImplementedError

    def change(self, request: Any, obj: Any, facts: Mapping[str, Any]) -> None:
        """Set columns of a row."""
        raise NotImplementedError

    def take_out(self, request: Any, obj: Any) -> None:
        """Take a row out."""
        raise NotImplementedError

    def has_add_permission(self, request: HttpRequest, *args: Any) -> bool:
        return may_enter(request, self.roles)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return may_enter(request, self.roles)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return may_enter(request, self.roles)

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:  # noqa: FBT001, FBT002
        """The form, with the write that it has to try."""
        form = super().get_form(request, obj, change=change, **kwargs)

        def rehearsal(one: ServiceForm) -> Reasons:
            return rehearse(lambda: self._write(request, one, obj), self.refuses)

        return type(form.__name__, (form,), {"rehearsal": rehearsal})

    def formfield_for_dbfield(self, db_field: Any, request: HttpRequest, **kwargs: Any) -> Any:
        """A column that may be empty need not be filled in."""
        if db_field.null:
            kwargs.setdefault("required", False)
        return super().formfield_for_dbfield(db_field, request, **kwargs)

    def _write(self, request: HttpRequest, form: ServiceForm, obj: Any) -> Any:
        facts = form.facts()
        if obj is None:
            return self.add(request, {**self._initial(form), **facts})
        if facts:
            self.change(request, obj, facts)
        return obj.pk

    def _initial(self, form: ServiceForm) -> dict[str, Any]:
        """All columns of a new row, those left as they were offered too."""
        return {
            name: value
            for name, value in form.cleaned_data.items()
            if not isinstance(value, models.Model) and value is not None
        }

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:  # noqa: FBT001
        """Write by the service."""
        obj.pk = self._write(request, form, obj if change else None)
        obj.refresh_from_db()

    def delete_model(self, request: HttpRequest, obj: Any) -> None:
        """Take out by the service."""
        self.take_out(request, obj)

    def get_deleted_objects(self, objs: Any, request: HttpRequest) -> Any:
        """What would go, and the sentences of what stands in the way."""
        (one,) = objs
        against = [reason for _, reason in rehearse(lambda: self.take_out(request, one), self.refuses)]
        return [str(one)], {str(self.opts.verbose_name_plural): 1}, set(), against
