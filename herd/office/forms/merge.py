"""Forms for two records that are one animal, and for one record that holds two."""

from collections.abc import Sequence
from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.animals import CLASS_CHOICES
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.numbers import animal_by_number
from herd.office.saying import group_digits
from herd.registry.models import WearingEnded
from herd.registry.queries.merged import Parts
from herd.registry.queries.twofold import Twofold
from herd.registry.services.merge_rows import MergeChoices

ENDED = [(WearingEnded.DATA_ERROR.value, "was never on it (data error)")] + [
    (choice.value, choice.label) for choice in WearingEnded if choice != WearingEnded.DATA_ERROR
]
Choices = Sequence[tuple[str, str]]


class OtherForm(forms.Form):
    """Any number of the animal that may be recorded twice."""

    number = text_field(
        "Number of the other record", is_required=True, longest=80, hint="Any number that it wears or wore."
    )

    def __init__(self, *args: Any, outfit: Outfit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.outfit = outfit

    def clean_number(self) -> UUID:
        """The animal's id."""
        return animal_by_number(self.outfit, self.cleaned_data["number"])


class MergeForm(forms.Form):
    """What stands where two records differ; only what is asked of these two has a field."""

    reason = text_field("Why they are one animal", is_required=True, hint="It stands in the animal's history.")

    def __init__(self, *args: Any, both: Twofold, names: tuple[str, str], today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.both = both
        for one in both.differences:
            field = choice_field("", [("kept", names[0]), ("other", names[1])], is_required=False)
            field.initial, field.widget = "other" if one.takes_other else "kept", forms.RadioSelect()
            field.widget.choices = field.choices
            self.fields[f"fact_{one.name}"] = field
        if both.has_two_eids:
            self._ask_eid(today)
        if both.has_two_groups:
            groups = [stay.group.name for stay in (both.kept.open_stay, both.other.open_stay) if stay]
            self.fields["group"] = choice_field("It is in the group", list(zip(("kept", "other"), groups, strict=True)))
        if both.doubles:
            pairs = [(str(event.pk), str(event.pk)) for _, event in both.doubles]
            self.fields["once"] = forms.MultipleChoiceField(
                label="The same on both, to be counted once",
                choices=pairs,
                # Where the details differ a person looks at both before one of them goes.
                initial=[str(event.pk) for twin, event in both.doubles if twin.data == event.data],
                required=False,
            )
        self.order_fields([name for name in self.fields if name != "reason"])

    def _ask_eid(self, today: date) -> None:
        kept, other = (side.open_eid for side in (self.both.kept, self.both.other))
        words = [group_digits(row.tag.number) for row in (kept, other) if row]
        ways = [("kept", f"{words[0]} stays on"), ("other", f"{words[1]} stays on"), ("both", "it wears both")]
        self.fields["eid"] = choice_field("Of the two EIDs", ways)
        self.fields["ended"] = choice_field("The one that goes", ENDED)
        self.fields["on"] = day_field("It ended on", initial=today)
        self.fields["second_reason"] = text_field("Reason for a second EID", hint="Only where it wears both.")

    def choices(self, today: date) -> MergeChoices:
        """The choices as the registry takes them."""
        data = self.cleaned_data
        doubles = {event.pk for _, event in self.both.doubles}
        usual = {one.name: "other" if one.takes_other else "kept" for one in self.both.differences}
        said = {name: data.get(f"fact_{name}") or usual[name] for name in usual}
        return MergeChoices(
            on=data.get("on") or today,
            facts_of_other=frozenset(name for name, side in said.items() if side == "other"),
            eid=data.get("eid", ""),
            ended=data.get("ended", "data_error"),
            second_reason=data.get("second_reason", ""),
            group=data.get("group", ""),
            apart=frozenset(doubles - {UUID(key) for key in data.get("once", ())}),
        )


class SplitForm(forms.Form):
    """What belongs to the second animal. Of one that is new the class and the day are asked as well."""

    wearings = forms.MultipleChoiceField(label="Tags", required=False)
    stays = forms.MultipleChoiceField(label="Groups", required=False)
    events = forms.MultipleChoiceField(label="Events", required=False)
    calves = forms.MultipleChoiceField(label="Calves", required=False)
    entry_class = choice_field("Class when it came in", CLASS_CHOICES, is_required=False)
    entered_on = day_field("In the herd since", is_required=False)
    reason = text_field("Why they are two animals", is_required=True, hint="It stands in both histories.")

    def __init__(self, *args: Any, offered: dict[str, Choices], is_new: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, choices in offered.items():
            self.fields[name].choices = choices  # type: ignore[attr-defined]
        if not is_new:
            del self.fields["entry_class"], self.fields["entered_on"]

    def parts(self) -> Parts:
        """The rows chosen, as the registry takes them."""
        names = ("wearings", "stays", "events", "calves")
        return Parts(*(frozenset(UUID(key) for key in self.cleaned_data[name]) for name in names))

    def facts(self) -> dict[str, Any]:
        """The facts of a new animal."""
        return {key: self.cleaned_data.get(key) for key in ("entry_class", "entered_on") if self.cleaned_data.get(key)}
