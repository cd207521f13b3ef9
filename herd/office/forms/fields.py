"""Fields that several forms share: days, notes, and the way refusals stand beside them."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms

from herd.registry.services.refused import Refused

LONGEST_TEXT = 120
LONGEST_NOTE = 500


def day_field(label: str, *, initial: date | None = None, is_required: bool = True, hint: str = "") -> forms.DateField:
    """A day, picked or typed as 2026-03-14."""
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    errors = {
        "invalid": "Give the day as year-month-day, such as 2026-03-14.",
        "required": "A day is needed.",
    }
    return forms.DateField(
        label=label,
        initial=initial,
        required=is_required,
        widget=widget,
        help_text=hint,
        error_messages=errors,
    )


def text_field(
    label: str, *, is_required: bool = False, hint: str = "", longest: int = LONGEST_TEXT
) -> forms.CharField:
    """A line of text."""
    return forms.CharField(
        label=label,
        required=is_required,
        help_text=hint,
        max_length=longest,
        error_messages={"required": f"{label} is needed."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


def choice_field(
    label: str,
    choices: Sequence[tuple[str, str]],
    *,
    initial: str = "",
    is_required: bool = True,
    hint: str = "",
) -> forms.ChoiceField:
    """One of a few words."""
    return forms.ChoiceField(label=label, choices=choices, initial=initial, required=is_required, help_text=hint)


def show_refusals(form: forms.Form, refused: Refused, names: Mapping[str, str] | None = None) -> None:
    """Put each reason beside its field; `names` gives the form's name for a field of the service."""
    known = dict(names or {})
    said: set[tuple[str | None, str]] = set()
    for one in refused.refusals:
        name: Any = known.get(one.field, one.field)
        place = name if name in form.fields else None
        if (place, one.reason) not in said:
            said.add((place, one.reason))
            form.add_error(place, one.reason)
