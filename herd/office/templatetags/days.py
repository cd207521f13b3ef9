"""Filters of the processing-day templates: dialects, readings, states and counts in words."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from django import template
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from herd.intake.columns.kinds import COLUMN_KINDS
from herd.intake.models import DayState, RowState, StagedRow
from herd.office.daywords import dialect_in_words, readings_in_words
from herd.office.templatetags.office import eid

register = template.Library()

_EID = re.compile(r"(?<!\d)\d{15}(?!\d)")

DAY_MARKS = {
    DayState.REVIEW: "mark-warn",
    DayState.APPLIED: "mark-good",
    DayState.FAILED: "mark-bad",
}
ROW_MARKS = {
    RowState.APPLIED: "mark-good",
    RowState.WAITING: "mark-warn",
    RowState.UNUSABLE: "mark-bad",
}


@register.filter
def dialect(value: Mapping[str, Any]) -> list[str]:
    """Phrases about how a file was written."""
    return dialect_in_words(value)


@register.filter
def readings(value: Mapping[str, Any]) -> list[tuple[str, str]]:
    """What was read in a line, as labels and values."""
    return readings_in_words(value)


@register.filter
def day_mark(state: str) -> str:
    """The class of the mark for a processing day's state."""
    return DAY_MARKS.get(DayState(state), "")


@register.filter
def row_mark(state: str) -> str:
    """The class of the mark for a staged row's state."""
    return ROW_MARKS.get(RowState(state), "")


@register.filter
def many(count: int) -> str:
    """A count with its thousands set apart."""
    return f"{count:,}"


@register.filter
def numbers(text: str) -> SafeString:
    """A sentence whose EIDs are grouped for reading and copied whole."""
    return mark_safe(_EID.sub(lambda found: eid(found[0]), conditional_escape(text)))


@register.filter
def percent(confidence: float) -> str:
    """A confidence between 0 and 1 as a percentage."""
    return f"{round(100 * confidence)} %"


@register.filter
def column_label(kind: str) -> str:
    """What a column is taken for, in words."""
    return COLUMN_KINDS[kind].label if kind in COLUMN_KINDS else "not used"


@register.filter
def columns_summary(columns: Sequence[Mapping[str, Any]]) -> str:
    """The columns that are used, in words."""
    used = [str(column.get("kind")) for column in columns if column.get("kind") not in {"unused", "row_number"}]
    return ", ".join(column_label(kind).split(" (")[0] for kind in used) or "none of them used"


@register.filter
def problems(row: StagedRow) -> list[dict[str, Any]]:
    """The cells that made a line unusable; the line's own reason where no cell is to blame."""
    return row.problems or [{"reason": row.reason or row.get_state_display()}]
