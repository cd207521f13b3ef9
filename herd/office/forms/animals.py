"""Forms for an animal's facts: to register one, to correct one, to move it."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.numbers import animal_by_number, read_tag
from herd.office.forms.tags import COLOUR_CHOICES
from herd.registry.models import Animal, Group, Location, TagKind
from herd.values.classes import AnimalClass

CLASS_CHOICES = [("", "not known"), *((word.value, word.value) for word in AnimalClass)]
PRECISIONS = [("day", "the day"), ("month", "the month"), ("year", "the year")]


OVERTAKEN = (
    "This animal was changed by somebody else while the page was open. What differs from the record of now is marked; "
    "look at it, and send it again if it is right."
)


class FactsForm(forms.Form):
    """Facts of an animal; `dam` and `sire` are any number of theirs."""

    entry_class = choice_field("Class when it came in", CLASS_CHOICES, is_required=False)
    born_on = day_field("Born", is_required=False, hint="Where only the month or year is known, give its first day.")
    born_precision = choice_field("Birth known to", PRECISIONS, initial="day")
    breed = text_field("Breed", longest=60)
    coat = text_field("Coat", longest=40)
    origin = text_field("Origin", longest=80)
    dam = text_field("Dam", hint="Any number that she wears or wore.", longest=80)
    sire = text_field("Sire", hint="Any number that he wears or wore.", longest=80)

    def __init__(self, *args: Any, outfit: Outfit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.outfit = outfit

    def clean_dam(self) -> UUID | None:
        """The dam's id."""
        return self._parent("dam")

    def clean_sire(self) -> UUID | None:
        """The sire's id."""
        return self._parent("sire")

    def _parent(self, name: str) -> UUID | None:
        text = self.cleaned_data[name]
        return animal_by_number(self.outfit, text) if text else None

    def facts(self) -> dict[str, Any]:
        """The facts as the registry names them."""
        data = self.cleaned_data
        plain = {key: data[key] for key in ("entry_class", "born_on", "breed", "coat", "origin")}
        precision = data["born_precision"] if data["born_on"] else "unknown"
        return {**plain, "born_precision": precision, "dam_id": data["dam"], "sire_id": data["sire"]}


class NewAnimalForm(FactsForm):
    """An animal registered by hand, with its tags and group."""

    eid = text_field("EID", longest=80)
    vid = text_field("Visual tag", longest=40)
    colour = choice_field("Tag colour", COLOUR_CHOICES, is_required=False)
    group = choice_field("Group", [], is_required=False)
    entered_on = day_field("In the herd since")
    field_order = ("vid", "colour", "eid", "entry_class", "group", "entered_on")

    def __init__(self, *args: Any, outfit: Outfit, today: date, **kwargs: Any) -> None:
        super().__init__(*args, outfit=outfit, **kwargs)
        self.fields["group"].choices = group_choices(outfit, "no group")  # type: ignore[attr-defined]
        self.fields["entered_on"].initial = today

    def clean(self) -> dict[str, Any]:
        """Read both numbers; an animal needs one of them, or nobody could find it again."""
        data = super().clean() or self.cleaned_data
        data["tags"] = []
        for name, kind in (("eid", TagKind.EID), ("vid", TagKind.VID)):
            if data.get(name):
                self._add_tag(data, name, kind)
        if not self.errors and not data["tags"]:
            self.add_error("vid", "Give a visual tag or an EID.")
        return data

    def _add_tag(self, data: dict[str, Any], name: str, kind: TagKind) -> None:
        try:
            tag = read_tag(kind, data[name])
        except forms.ValidationError as problem:
            self.add_error(name, problem)
            return
        colour = (data.get("colour") or tag.colour) if kind == TagKind.VID else ""
        data["tags"].append({"kind": kind.value, "number": tag.number, "colour": colour})


class CorrectForm(FactsForm):
    """Facts of an animal put right, with the reason."""

    reason = text_field("Reason", is_required=True, hint="It stands in the animal's history.")
    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def is_overtaken(self, animal: Animal) -> bool:
        """Whether the record was changed after the form was shown; then it is said, and sending it again is meant."""
        if self.cleaned_data["revision"] in {None, animal.revision}:
            return False
        self.add_error(None, OVERTAKEN)
        for key in self.differing(animal):
            self.add_error(key.removesuffix("_id"), "The record has something else here now.")
        self.data = {**dict(self.data.items()), "revision": animal.revision}
        return True

    def differing(self, animal: Animal) -> dict[str, Any]:
        """The facts that differ from the record."""
        return {key: value for key, value in self.facts().items() if getattr(animal, key) != value}


def facts_of(animal: Animal, names: Mapping[str, str]) -> dict[str, Any]:
    """What the form shows of an animal at first; `names` has a number for its dam and sire."""
    known = {key: getattr(animal, key) for key in ("entry_class", "born_on", "breed", "coat", "origin")}
    precision = animal.born_precision if animal.born_precision in dict(PRECISIONS) else "day"
    parents = {"dam": names.get(str(animal.dam_id), ""), "sire": names.get(str(animal.sire_id), "")}
    return {**known, **parents, "born_precision": precision}


class MoveForm(forms.Form):
    """A group, and the day on which the animal joins it."""

    group = choice_field("Into", [])
    on = day_field("On")

    def __init__(self, *args: Any, outfit: Outfit, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["group"].choices = group_choices(outfit, "")[1:]  # type: ignore[attr-defined]
        self.fields["on"].initial = today


def group_choices(outfit: Outfit, empty: str) -> list[tuple[str, str]]:
    """The outfit's open groups, behind the word for none."""
    groups = Group.objects.of(outfit).filter(is_closed=False)
    return [("", empty), *((str(group.pk), group.name) for group in groups)]


def place_choices(outfit: Outfit) -> list[tuple[str, str]]:
    """The outfit's locations in use, behind the word for none."""
    places = Location.objects.of(outfit).filter(is_retired=False)
    return [("", "not given"), *((str(place.pk), place.name) for place in places)]
