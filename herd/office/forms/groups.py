"""Forms of groups and locations: open and change them, close one, move one or many."""

from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.given import NumbersForm
from herd.registry.models import Group, GroupKind, Location
from herd.values.premises import read_premises
from herd.values.problems import Unreadable

PREMISES_HINT = "The state or the tribe gives it; 7 characters with a check character, or a state's own of 6 or 8."


class GroupForm(forms.Form):
    """A group's name, kind and location."""

    name = text_field("Name", is_required=True, longest=80)
    kind = choice_field("Kind", list(GroupKind.choices))
    location = choice_field("Location", [], is_required=False)

    def __init__(self, *args: Any, outfit: Outfit, group: Group | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = group.location_id if group else None
        self.fields["location"].choices = place_choices(outfit, now)  # type: ignore[attr-defined]
        if group:
            self.fields["location"].help_text = (
                "To put a wrong location right. When the group went to another place, move it there instead."
            )

    def facts(self) -> dict[str, Any]:
        """The group as the registry names its columns."""
        data = self.cleaned_data
        location = UUID(data["location"]) if data["location"] else None
        return {"name": data["name"], "kind": data["kind"], "location_id": location}


class LocationForm(forms.Form):
    """A location's name and premises number."""

    name = text_field("Name", is_required=True, longest=80)
    premises_number = text_field("Premises number", hint=PREMISES_HINT, longest=30)

    def clean_premises_number(self) -> str:
        """The number in the record's spelling; what is wrong with it stands beside the field."""
        text = self.cleaned_data["premises_number"]
        try:
            return read_premises(text).number if text else ""
        except Unreadable as problem:
            raise forms.ValidationError(problem.reason) from problem


class CloseForm(forms.Form):
    """The day on which a group is closed, and where those still in it go."""

    on = day_field("On")
    into = choice_field("Its animals go to", [], hint="They join that group on the same day.")

    def __init__(self, *args: Any, group: Group, today: date, head: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today
        others = group_choices(group.outfit, but=group.pk)
        self.fields["into"].choices = [("", "choose a group"), *others]  # type: ignore[attr-defined]
        self.fields["into"].error_messages["required"] = "Say which group its animals join."
        if not head:
            del self.fields["into"]


class PlaceForm(forms.Form):
    """The location to which a whole group moves, and the day."""

    location = choice_field("To", [])
    on = day_field("On", hint="Everyone who was in the group on that day gets a movement; who has left it since, too.")

    def __init__(self, *args: Any, group: Group, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today
        places = Location.objects.of(group.outfit).filter(is_retired=False)
        others = [(str(one.pk), one.name) for one in places if one.pk != group.location_id]
        choices = [("", "choose a location"), *others]
        self.fields["location"].choices = choices  # type: ignore[attr-defined]


class MoveManyForm(NumbersForm):
    """The group into which many animals move, and the day."""

    group = choice_field("Into", [])
    on = day_field("On")
    field_order = ("group", "on", "typed", "upload")

    def __init__(self, *args: Any, outfit: Outfit, today: date, but: UUID | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today
        choices = [("", "choose a group"), *group_choices(outfit, but=but)]
        self.fields["group"].choices = choices  # type: ignore[attr-defined]


def group_choices(outfit: Outfit, *, but: UUID | None = None) -> list[tuple[str, str]]:
    """The outfit's open groups, without one."""
    groups = Group.objects.of(outfit).filter(is_closed=False)
    return [(str(group.pk), group.name) for group in groups if group.pk != but]


def place_choices(outfit: Outfit, now: UUID | None = None) -> list[tuple[str, str]]:
    """The outfit's locations in use, and the one that is named already, behind the word for none."""
    places = Location.objects.of(outfit)
    offered = [(str(place.pk), place.name) for place in places if not place.is_retired or place.pk == now]
    return [("", "not given"), *offered]
