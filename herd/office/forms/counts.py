"""The form of a head count: a figure, figures by class, numbers that were read, or several of these."""

from datetime import date
from typing import Any

from django import forms

from herd.office.forms.fields import LONGEST_NOTE, day_field, text_field
from herd.office.forms.given import NumbersForm
from herd.registry.queries.headcount import CLASSES
from herd.registry.services.headchecks import Count

MOST_HEAD = 1_000_000
WORDS = {"calf": "Calves", "unknown": "Class not known"}
COUNTED_CLASSES = tuple(name for name in CLASSES if name != "unknown")


def _figure(label: str, hint: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        required=False,
        min_value=0,
        max_value=MOST_HEAD,
        help_text=hint,
        widget=forms.NumberInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class CountForm(NumbersForm):
    """A head count of a group on a day."""

    on = day_field("Counted on")
    counted = _figure("Head counted", "Leave it empty where only numbers were read.")
    note = text_field("Note", longest=LONGEST_NOTE)
    field_order = ("on", "counted", *COUNTED_CLASSES, "typed", "upload", "note")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["on"].initial = today
        for name in COUNTED_CLASSES:
            self.fields[name] = _figure(WORDS.get(name, f"{name.capitalize()}s"))
        self.order_fields(self.field_order)

    @property
    def class_fields(self) -> list[forms.BoundField]:
        """The figures by class."""
        return [self[name] for name in COUNTED_CLASSES]

    def clean_on(self) -> date:
        """The day, which has come already."""
        day: date = self.cleaned_data["on"]
        if day > self.today:
            raise forms.ValidationError("That day lies in the future.")
        return day

    def count(self) -> Count:
        """What was counted, as the registry takes it; figures by class alone make the whole figure."""
        data = self.cleaned_data
        by_class = {name: data[name] for name in COUNTED_CLASSES if data.get(name) is not None}
        counted = data["counted"]
        if counted is None and by_class:
            counted = sum(by_class.values())
        return Count(counted, by_class, data["numbers"], data["note"])
