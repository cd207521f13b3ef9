"""Forms for a tag that hangs on another animal than the record says."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.office.forms.fields import choice_field, day_field, text_field
from herd.registry.models import WearingEnded
from herd.registry.services.tags import Hangs

STAYS = "stays"
OWN_CHOICES = [
    ("", "choose"),
    (WearingEnded.LOST.value, "it was lost"),
    (WearingEnded.REMOVED.value, "it came off"),
    (WearingEnded.DATA_ERROR.value, "it was never on, a data error"),
    (STAYS, "it stays on beside this one"),
]


class LookUpForm(forms.Form):
    """The number that turned up, and the animal it hangs on."""

    number = text_field("Number on the tag", is_required=True, longest=80)
    animal = text_field(
        "It hangs on the animal", is_required=True, longest=80, hint="Any other number that this animal wears or wore."
    )


class SettleForm(forms.Form):
    """When and why; and, where the animal wears an EID of its own, what became of that."""

    on = day_field("Day")
    reason = text_field("Reason", is_required=True)
    own = choice_field("The EID it wears in the record", OWN_CHOICES, is_required=False)

    def __init__(self, *args: Any, day_label: str, today: date, own_eid: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.own_eid = own_eid
        self.fields["on"].label = day_label
        self.fields["on"].initial = today
        if own_eid:
            self.fields["own"].help_text = f"That is {own_eid}."
        else:
            del self.fields["own"]

    def clean(self) -> dict[str, Any]:
        """Ask what became of the animal's own EID, where it has one."""
        data = super().clean() or self.cleaned_data
        if self.own_eid and not data.get("own"):
            self.add_error("own", "An animal wears one EID. Say what became of the other.")
        return data

    def hangs(self, animal_id: UUID) -> Hangs:
        """What was said, as the service takes it."""
        data = self.cleaned_data
        own = data.get("own", "")
        stays = own == STAYS
        return Hangs(animal_id, data["on"], data["reason"], "" if stays else own, data["reason"] if stays else "")
