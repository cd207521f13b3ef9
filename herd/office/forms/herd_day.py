"""The processing day that picked animals are added to: one that is open, or a new one."""

from typing import Any

from django import forms

from herd.accounts.models import Outfit
from herd.intake.models import DayState, ProcessingDay
from herd.office.forms.fields import day_field, text_field
from herd.office.today import today_of

# A day that is being read or applied takes no file; it is offered again when that is over.
TAKING = (DayState.REVIEW, DayState.FAILED)


class PickedDayForm(forms.Form):
    """An open day, or the date of a new one."""

    day = forms.ModelChoiceField(
        queryset=ProcessingDay.objects.none(),
        required=False,
        label="Processing day",
        empty_label="a new day",
        error_messages={"invalid_choice": "That day takes no files now: it is being read or applied, or is done."},
    )
    worked_on = day_field("Date of a new day", is_required=False)
    name = text_field("Name of a new day")

    def __init__(self, data: Any, *, outfit: Outfit) -> None:
        super().__init__(data)
        days: Any = self.fields["day"]
        days.queryset = ProcessingDay.objects.filter(outfit=outfit, state__in=TAKING)
        days.label_from_instance = lambda day: f"{day.name} ({day.worked_on:%Y-%m-%d})"
        self.fields["worked_on"].initial = today_of(outfit)

    def clean(self) -> dict[str, Any]:
        """A new day needs its date."""
        said = super().clean() or self.cleaned_data
        if not self.errors and not said.get("day") and not said.get("worked_on"):
            self.add_error("worked_on", "A new day needs its date.")
        return said
