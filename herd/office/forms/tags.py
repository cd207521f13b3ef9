"""Forms for tags: one put on, one replaced or taken off."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms

from herd.office.forms.fields import LONGEST_TEXT, choice_field, day_field, text_field
from herd.office.forms.numbers import read_tag
from herd.office.saying import group_digits
from herd.registry.models import TagKind, TagWearing, WearingEnded
from herd.values.officialtags import WAYS, SecondTag, is_official, second_tag_fault

COLOURS = ("yellow", "white", "orange", "blue", "green", "red", "pink", "purple", "black", "brown", "grey")
COLOUR_CHOICES = [("", "none"), *((word, word) for word in COLOURS)]
ENDED_CHOICES = [(choice.value, choice.label) for choice in WearingEnded]
OFFICIAL_CHOICES = [(TagKind.EID.value, TagKind.EID.label), (TagKind.METAL.value, TagKind.METAL.label)]
SECOND_CHOICES = [("", "it is no second official tag"), *((way.value, told.words) for way, told in WAYS.items())]
# What ends by choice needs its reason told; what breaks or is lost tells it by itself.
ENDED_BY_CHOICE = (WearingEnded.REPLACED, WearingEnded.REMOVED)


def year_field() -> forms.IntegerField:
    """The year of issue of a visual tag."""
    return forms.IntegerField(
        label="Year of issue",
        required=False,
        min_value=1990,
        max_value=2100,
        help_text="Of a visual tag, if kept.",
    )


class TagForm(forms.Form):
    """A tag put on an animal; `worn` are those it wears now."""

    kind = choice_field("Kind", list(TagKind.choices))
    number = text_field("Number", is_required=True, longest=80)
    colour = choice_field("Colour", COLOUR_CHOICES, is_required=False, hint="Of a visual tag.")
    issuer_year = year_field()
    on = day_field("Put on")
    second_way = choice_field(
        "Beside another official tag",
        SECOND_CHOICES,
        is_required=False,
        hint="An animal wears one official eartag; 9 CFR 86.4(c) allows another only for these reasons.",
    )
    second_reason = text_field("More about that", hint="Who approved it and what for, or what the tag is for.")

    def __init__(self, *args: Any, today: date, worn: Sequence[TagWearing], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.worn = worn
        self.fields["on"].initial = today

    def clean(self) -> dict[str, Any]:
        """Read the number as its kind asks, and ask for a reason where it would be a second official tag."""
        data = super().clean() or self.cleaned_data
        data["issuer_year"] = data.get("issuer_year") or 0
        if data.get("number") and data.get("kind") and read_number(self, data, data["kind"]):
            data["second_reason"] = self._second_reason(data)
        return data

    def _second_reason(self, data: dict[str, Any]) -> str:
        """The reason for a second tag in words, empty where it is none; what is wrong stands beside its field."""
        kind, number = data["kind"], data["number"]
        beside = self._beside(kind, number, data.get("on"))
        if not beside:
            return ""
        worn_kinds = {one.kind for one in self.worn}
        way = SecondTag(data["second_way"]) if data.get("second_way") else None
        if way is None and not second_tag_fault(SecondTag.AIN_BESIDE_METAL, kind, number, worn_kinds):
            way = SecondTag.AIN_BESIDE_METAL
        if way is None:
            self.add_error(
                "second_way",
                f"The animal wears {', '.join(beside)}. Take that off first, or choose why another goes on.",
            )
            return ""
        more = data.get("second_reason", "")
        if fault := second_tag_fault(way, kind, number, worn_kinds):
            self.add_error("second_way", fault)
        if WAYS[way].asks and not more:
            self.add_error("second_reason", "Say who approved it and what for, or what the tag is for.")
        return ": ".join(part for part in (WAYS[way].words, more) if part)[:LONGEST_TEXT]

    def _beside(self, kind: str, number: str, on: date | None) -> list[str]:
        """The tags worn beside which this one needs a reason, in words."""
        counts = kind == TagKind.METAL or is_official(kind, number, on)
        return [
            f"{one.get_kind_display()} {group_digits(one.tag.number)}"
            for one in self.worn
            if (counts and is_official(one.kind, one.tag.number, one.worn_from)) or {one.kind, kind} == {TagKind.EID}
        ]


class ReplaceForm(forms.Form):
    """How a wearing ended, why and where, and the tag that took its place, if any."""

    ended = choice_field("The old tag is", ENDED_CHOICES)
    on = day_field("Since", hint="The new tag went on the same day.")
    reason = text_field(
        "Reason", hint="Such as an infected ear, a number wearing off, or a chip that no longer answers."
    )
    removed_at = text_field(
        "Where it came off", hint="The place and how to reach it; the record of an official tag asks for it."
    )
    kind = choice_field(
        "The new tag is",
        OFFICIAL_CHOICES,
        is_required=False,
        hint="Official tags put on since November 5, 2024 must be electronic as well, those for retags too.",
    )
    number = text_field("New number", hint="Leave empty where no new tag is on yet.", longest=80)
    colour = choice_field("Colour", COLOUR_CHOICES, is_required=False)
    issuer_year = year_field()

    def __init__(self, *args: Any, old: TagWearing, today: date, place: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.old = old
        self.fields["on"].initial = today
        self.fields["removed_at"].initial = place
        if old.kind != TagKind.VID:
            del self.fields["colour"], self.fields["issuer_year"]
        if old.kind == TagKind.METAL:
            self.fields["kind"].initial = TagKind.EID
        else:
            del self.fields["kind"]

    def clean(self) -> dict[str, Any]:
        """Read the new number, where there is one, as its kind asks, and ask why a sound tag came off."""
        data = super().clean() or self.cleaned_data
        data["kind"] = data.get("kind") or self.old.kind
        data["issuer_year"] = data.get("issuer_year") or 0
        if data.get("number"):
            read_number(self, data, data["kind"])
        is_kept = is_official(self.old.kind, self.old.tag.number, self.old.worn_from)
        if is_kept and data.get("ended") in ENDED_BY_CHOICE and not data.get("reason"):
            self.add_error("reason", "Official tags come off only for a reason, which 9 CFR 86.4(e) asks to keep.")
        if data.get("ended") == WearingEnded.LOST:
            data["removed_at"] = ""
        data.setdefault("colour", "")
        return data


def read_number(form: forms.Form, data: dict[str, Any], kind: str) -> bool:
    """Put the number read into the data, with a colour that stood beside it; or say what is wrong."""
    try:
        tag = read_tag(kind, data["number"])
    except forms.ValidationError as problem:
        form.add_error("number", problem)
        return False
    data["number"] = tag.number
    data["colour"] = (data.get("colour") or tag.colour) if kind == TagKind.VID else ""
    return True
