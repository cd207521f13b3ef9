"""The question that the activity page answers: who, what kind, when, about which animal."""

from typing import Any

from django import forms

from herd.accounts.models import OutfitChangeKind
from herd.ledger.models import ChangesetKind
from herd.office.forms.fields import choice_field, day_field, text_field

ANY = ("", "any")
KINDS = [ANY, *((kind.value, str(kind.label)) for kinds in (ChangesetKind, OutfitChangeKind) for kind in kinds)]


class ActivityForm(forms.Form):
    """Filters of the activity; all may stay empty."""

    who = choice_field("Who", [ANY], is_required=False)
    kind = choice_field("What", KINDS, is_required=False)
    since = day_field("From", is_required=False)
    until = day_field("To", is_required=False)
    animal = text_field("Animal", hint="Any number it wears or wore.", longest=80)

    def __init__(self, data: Any, writers: list[tuple[str, str]]) -> None:
        super().__init__(data, use_required_attribute=False)
        field: Any = self.fields["who"]
        field.choices = [ANY, *writers]

    def clean(self) -> dict[str, Any]:
        """Compare the days."""
        data = super().clean() or self.cleaned_data
        if data.get("since") and data.get("until") and data["since"] > data["until"]:
            self.add_error("until", "This day lies before the first.")
            del data["since"]
        return data
