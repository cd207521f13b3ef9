"""The days that a report is asked for, and what it is narrowed to."""

from datetime import date, timedelta
from typing import Any

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.registry.models import Group

A_YEAR = timedelta(days=365)
OUT, BACK = "out", "back"


class PeriodForm(forms.Form):
    """Two days, both included; without any, from `since` to today."""

    since = day_field("From", is_required=False)
    until = day_field("To", is_required=False)

    def __init__(self, data: Any, *, today: date, since: date | None = None) -> None:
        super().__init__(data or None, use_required_attribute=False)
        self.today = today
        self.start = since or today.replace(month=1, day=1)
        self.fields["since"].initial = self.start
        self.fields["until"].initial = today

    def clean_until(self) -> date | None:
        """The last day, which has come already."""
        day: date | None = self.cleaned_data["until"]
        if day and day > self.today:
            raise forms.ValidationError("That day lies in the future.")
        return day

    def clean(self) -> dict[str, Any]:
        """Ask for days in order."""
        data = super().clean() or self.cleaned_data
        if data.get("since") and data["since"] > (data.get("until") or self.today):
            self.add_error("until" if data.get("until") else "since", "The last day comes before the first one.")
        return data

    def days(self) -> tuple[date, date]:
        """The days as far as they can be read, the first one first."""
        said = self.cleaned_data if self.is_bound and (self.is_valid() or self.cleaned_data) else {}
        until = said.get("until") or self.today
        since = said.get("since") or min(self.start, until.replace(month=1, day=1))
        return min(since, until), until


class MedicinesForm(PeriodForm):
    """The days of the treatment log, and what is in it."""

    kind = choice_field(
        "What", [("", "treatments and vaccinations"), ("treatment", "treatments"), ("vaccination", "vaccinations")],
        is_required=False,
    )  # fmt: skip
    product = text_field("Product", hint="Any part of its name; empty for all.", longest=80)


class SamplesForm(PeriodForm):
    """The days of the samples, and whether only those without or with a result stand in it."""

    result = choice_field(
        "Tubes", [("", "all"), (OUT, "still out"), (BACK, "with a result")], is_required=False
    )


class VaccinesForm(PeriodForm):
    """A group, and since when a vaccine counts."""

    group = forms.ModelChoiceField(queryset=Group.objects.none(), label="Group", empty_label=None)

    field_order = ("group", "since", "until")

    def __init__(self, *args: Any, outfit: Outfit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        group: Any = self.fields["group"]
        group.queryset = Group.objects.of(outfit).filter(is_closed=False)
