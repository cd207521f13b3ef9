"""Admin pages of the ledger: changesets and changes, to look at only, and the history of rows as it tells it."""

from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import admin

from herd.accounts.adminscope import OutfitAdmin, PastLine
from herd.ledger.models import Change, Changeset

MOST_LINES = 200


def past_of(subject_id: Any, zone: ZoneInfo) -> list[PastLine]:
    """The last changes to a row in words, newest first."""
    rows = Change.objects.filter(subject_id=subject_id).select_related("changeset").order_by("-position")
    return [
        PastLine(one.changeset.recorded_at.astimezone(zone), one.changeset.person_name, say_columns(one))
        for one in rows[:MOST_LINES]
    ]


def say_columns(change: Change) -> str:
    """What a change did, column by column."""
    before, after = change.before or {}, change.after or {}
    parts = [
        f"{name.removesuffix('_id').replace('_', ' ')}: {_shown(before.get(name))} to {_shown(after.get(name))}"
        if name in before
        else f"{name.removesuffix('_id').replace('_', ' ')}: {_shown(after.get(name))}"
        for name in sorted(before.keys() | after.keys())
        if name != "is_void"
    ]
    words = f"{change.get_action_display()}: {'; '.join(parts)}" if parts else change.get_action_display()
    return f"{words} ({change.reason})" if change.reason else words


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "nothing" if value in (None, "") else str(value)


@admin.register(Changeset)
class ChangesetAdmin(OutfitAdmin):
    """What was written together."""

    list_display = ("recorded_at", "title", "kind", "person_name", "change_count", "is_undone")
    list_filter = ("kind", "is_undone")
    search_fields = ("title", "person_name")


@admin.register(Change)
class ChangeAdmin(OutfitAdmin):
    """One subject's columns before and after."""

    list_display = ("position", "subject_kind", "subject_id", "action", "reason", "source_file", "source_line")
    list_filter = ("action",)
    search_fields = ("=subject_id", "=animal_id", "reason", "source_file")
    list_select_related = ("changeset",)
    ordering = ("-position",)
