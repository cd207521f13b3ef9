"""The question that the tag log answers: which days, which kind of tag."""

from datetime import date, timedelta
from typing import Any

from django import forms

from herd.office.forms.fields import choice_field, day_field
from herd.registry.models import TagKind
from herd.registry.queries.taglog import LogQuestion

A_YEAR = timedelta(days=365)
KIND_CHOICES = [("", "all kinds"), *TagKind.choices]


class LogForm(forms.Form):
    """Two days, both included, and a kind; without any, the last twelve months."""

    since = day_field("From", is_required=False)
    until = day_field("To", is_required=False)
    kind = choice_field("Kind", KIND_CHOICES, is_required=False)

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean(self) -> dict[str, Any]:
        """Ask for days in order."""
        data = super().clean() or self.cleaned_data
        if data.get("since") and data.get("until") and data["since"] > data["until"]:
            self.add_error("until", "This day comes before the first one.")
        return data

    def question(self) -> LogQuestion:
        """The question as far as it can be read."""
        self.is_valid()
        data = self.cleaned_data
        until = data.get("until") or self.today
        since = data.get("since") or until - A_YEAR
        return LogQuestion(min(since, until), until, data.get("kind", ""))
