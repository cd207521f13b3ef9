"""The form of a new device."""

from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, text_field
from herd.registry.models import Group
from herd.sync.models import DeviceKind, DeviceRole


class DeviceForm(forms.Form):
    """A device: what it is called, what it is, what it may do, and which groups it may read."""

    name = text_field("Name", is_required=True, hint="As its people call it: the mill scale, Cal’s phone.", longest=60)
    kind = choice_field("It is a", list(DeviceKind.choices))
    role = choice_field("It may", list(DeviceRole.choices), initial=DeviceRole.CAPTURE.value)
    groups = forms.MultipleChoiceField(
        label="It reads only these groups",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: all of the outfit. A phone that is lost gives away no more than it may read.",
    )

    def __init__(self, *args: Any, outfit: Outfit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        groups = Group.objects.of(outfit).filter(is_closed=False).order_by("name")
        self.fields["groups"].choices = [(str(one.pk), one.name) for one in groups]  # type: ignore[attr-defined]

    def group_ids(self) -> list[UUID]:
        """The groups ticked."""
        return [UUID(one) for one in self.cleaned_data["groups"]]
