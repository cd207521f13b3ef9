"""Admin pages of standing rules and recipes; and of processing days with all that belongs to them, to look at only."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django.contrib import admin
from django.http import HttpRequest

from herd.accounts.admin import FileExchange
from herd.accounts.adminscope import OutfitAdmin, ServiceAdmin
from herd.intake import kept
from herd.intake.models import (
    FieldFile,
    Finding,
    MergedLine,
    ProcessingDay,
    Recipe,
    Ruling,
    StagedRow,
    StandingRule,
)
from herd.intake.resources import RecipeResource, StandingRuleResource
from herd.registry.services.refused import Refused


class KeptAdmin(FileExchange, ServiceAdmin):
    """What is kept for the next file: it arises in the review, and here it is renamed or dropped."""

    refuses = (Refused,)
    name_column = ""

    def has_add_permission(self, request: HttpRequest, *args: Any) -> bool:
        return False

    def change(self, request: Any, obj: Any, facts: Mapping[str, Any]) -> None:
        kept.rename(kept=obj, name=str(facts.get(self.name_column, "")), by=request.user)

    def take_out(self, request: Any, obj: Any) -> None:
        kept.drop(kept=obj, by=request.user)


@admin.register(StandingRule)
class StandingRuleAdmin(KeptAdmin):
    """Rulings kept for the future."""

    name_column = "label"
    resource_classes: ClassVar = [StandingRuleResource]
    fields = ("alike", "choice", "label", "person", "made_at")
    readonly_fields = ("alike", "choice", "person", "made_at")
    list_display = ("alike", "label", "person", "made_at")
    list_select_related = ("person",)
    search_fields = ("alike", "label")


@admin.register(Recipe)
class RecipeAdmin(KeptAdmin):
    """What the columns of a file layout are."""

    name_column = "name"
    resource_classes: ClassVar = [RecipeResource]
    fields = ("name", "layout", "columns", "kept_at")
    readonly_fields = ("layout", "columns", "kept_at")
    list_display = ("name", "kept_at")
    search_fields = ("name",)


@admin.register(ProcessingDay)
class ProcessingDayAdmin(OutfitAdmin):
    """Processing days."""

    list_display = ("worked_on", "name", "group", "state", "made_by", "made_at")
    list_filter = ("state",)
    list_select_related = ("group", "made_by")
    search_fields = ("name",)
    exclude = ("outfit",)


class DayPartAdmin(OutfitAdmin):
    """What belongs to a processing day."""

    outfit_path = "day__outfit"
    list_select_related: ClassVar[Any] = ("day",)


@admin.register(FieldFile)
class FieldFileAdmin(DayPartAdmin):
    """Files captured in the field; their bytes are handed out by the page of the day."""

    list_display = ("name", "day", "size", "row_count", "is_read", "problem")
    search_fields = ("name", "day__name", "=sha256")
    exclude = ("content",)

    def get_queryset(self, request: HttpRequest) -> Any:
        return super().get_queryset(request).defer("content")


@admin.register(StagedRow)
class StagedRowAdmin(DayPartAdmin):
    """Lines of field files as they were written."""

    list_display = ("file", "line", "state", "reason", "animal_id")
    list_filter = ("state",)
    list_select_related = ("day", "file")
    search_fields = ("=animal_id", "file__name", "reason")
    ordering = ("-file", "number")

    def get_queryset(self, request: HttpRequest) -> Any:
        return super().get_queryset(request).defer("file__content")


@admin.register(MergedLine)
class MergedLineAdmin(DayPartAdmin):
    """Rows of a day that are about one animal."""

    list_display = ("name", "key", "day", "state")
    list_filter = ("state",)
    search_fields = ("name", "=key", "day__name")


@admin.register(Finding)
class FindingAdmin(DayPartAdmin):
    """Questions for a person."""

    list_display = ("title", "kind", "day", "is_open")
    list_filter = ("kind", "is_open")
    search_fields = ("title", "day__name")


@admin.register(Ruling)
class RulingAdmin(DayPartAdmin):
    """Answers to findings."""

    list_display = ("title", "label", "person", "by_rule", "ruled_at", "day")
    list_filter = ("by_rule",)
    list_select_related = ("day", "person")
    search_fields = ("title", "label", "day__name")
