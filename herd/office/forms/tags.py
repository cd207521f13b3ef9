"""Forms for tags: one put on, one replaced or taken off."""

from datetime import date
from typing import Any

from django import forms

from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.numbers import read_tag
from herd.registry.models import TagKind, WearingEnded

COLOURS = ("yellow", "white", "orange", "blue", "green", "red", "pink", "purple", "black", "brown", "grey")
COLOUR_CHOICES = [("", "none"), *((word, word) for word in COLOURS)]
ENDED_CHOICES = [(choice.value, choice.label) for choice in WearingEnded]


class TagForm(forms.Form):
    """A tag put on an animal."""

    kind = choice_field("Kind", list(TagKind.choices))
    number = text_field("Number", is_required=True, longest=80)
    colour = choice_field("Colour", COLOUR_CHOICES, is_required=False, hint="Of a visual tag.")
    issuer_year = forms.IntegerField(
        label="Year of issue",
        required=False,
        min_value=1990,
        max_value=2100,
        help_text="Of a visual tag, if kept.",
    )
    on = day_field("Put on")
    second_reason = text_field("Reason for a second EID", hint="Only where the first one stays on.")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today

    def clean(self) -> dict[str, Any]:
        """Read the number as its kind asks."""
        data = super().clean() or self.cleaned_data
        if data.get("number") and data.get("kind"):
            read_number(self, data, data["kind"])
        data["issuer_year"] = data.get("issuer_year") or 0
        return data


class ReplaceForm(forms.Form):
    """How a wearing ended, and the tag that took its place, if any."""

    ended = choice_field("The old tag is", ENDED_CHOICES)
    on = day_field("Since")
    number = text_field("New number", hint="Leave empty where no new tag is on yet.", longest=80)
    colour = choice_field("Colour", COLOUR_CHOICES, is_required=False)
    issuer_year = forms.IntegerField(label="Year of issue", required=False, min_value=1990, max_value=2100)

    def __init__(self, *args: Any, kind: str, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.fields["on"].initial = today
        if kind != TagKind.VID:
            del self.fields["colour"], self.fields["issuer_year"]

    def clean(self) -> dict[str, Any]:
        """Read the new number, where there is one, as the old tag's kind asks."""
        data = super().clean() or self.cleaned_data
        if data.get("number"):
            read_number(self, data, self.kind)
        data["issuer_year"] = data.get("issuer_year") or 0
        data.setdefault("colour", "")
        return data


def read_number(form: forms.Form, data: dict[str, Any], kind: str) -> None:
    """Put the number read into the data, with a colour that stood beside it; or say what is wrong."""
    try:
        tag = read_tag(kind, data["number"])
    except forms.ValidationError as problem:
        form.add_error("number", problem)
        return
    data["number"] = tag.number
    data["colour"] = (data.get("colour") or tag.colour) if kind == TagKind.VID else ""
