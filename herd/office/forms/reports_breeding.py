"""What the breeding reports ask for: a calving season, an exposure, bulls and females of groups."""

from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, day_field
from herd.office.forms.reports import PeriodForm
from herd.registry.models import Group
from herd.reports.calving import AGAIN, ALL, FIRST
from herd.reports.calvingspread import start_rule
from herd.values.policy import StartRule
from herd.values.policyhistory import PolicyHistory
from herd.values.policyshapes import START_RULES

BOUND = Decimal("6.25")


def _group_field(label: str, **more: Any) -> Any:
    return forms.ModelChoiceField(queryset=Group.objects.none(), label=label, **more)


class CalvingForm(PeriodForm):
    """The days of a calving season, from when its periods count, and which dams."""

    who = choice_field(
        "Dams", [(ALL, "all"), (FIRST, "first calving in the record"), (AGAIN, "calved before")], is_required=False,
        hint="Heifers are best looked at by themselves.",
    )  # fmt: skip
    rule = choice_field(
        "Day 1 is",
        [("", "as set for the outfit"), *START_RULES.items()],
        is_required=False,
        hint="As set, it is the third calf where no first day of breeding is given.",
    )
    bred = day_field("Breeding began", is_required=False, hint="Only where day 1 counts from it.")

    def __init__(self, data: Any, *, today: date, policies: PolicyHistory) -> None:
        super().__init__(data, today=today)
        self.policies = policies

    def start_rule(self) -> StartRule:
        """How day 1 is found: as asked, else as set; from the third calf where no first day of breeding is given."""
        policy, asked = self.policies.on(self.days()[1]).policy, self.said("rule", None)
        return start_rule(policy, StartRule(asked) if asked else None, self.said("bred", None))

    def clean(self) -> dict[str, Any]:
        """Ask for the day breeding began where the periods count from it."""
        data = super().clean()
        if data.get("rule") == StartRule.BREEDING and not data.get("bred") and "bred" not in self.errors:
            self.add_error("bred", "Say on which day breeding began, or count from the third calf.")
        return data

    def said(self, name: str, otherwise: Any) -> Any:
        """What a field says, as far as it can be read."""
        self.is_valid()
        return (getattr(self, "cleaned_data", {}).get(name) if self.is_bound else None) or otherwise


class ReplacementForm(PeriodForm):
    """Two days, and the day from which females were exposed."""

    bulls_in = day_field("Bulls in", is_required=False, hint="For the rate on exposed females.")

    def clean_bulls_in(self) -> date | None:
        """The day, which has come already."""
        day: date | None = self.cleaned_data["bulls_in"]
        if day and day > self.today:
            raise forms.ValidationError("That day lies in the future.")
        return day


class ExposureForm(forms.Form):
    """When the bulls were in, which group, and up to which day is counted."""

    bulls_in = day_field("Bulls in", hint="Or the first day of breeding by AI.")
    bulls_out = day_field("Bulls out", hint="The last day of breeding.")
    group = _group_field("Group", required=False, empty_label="the whole herd", help_text="As it was on that day.")
    until = day_field("Count up to", is_required=False, hint="Today where empty.")

    def __init__(self, data: Any, *, today: date, outfit: Outfit) -> None:
        super().__init__(data, use_required_attribute=False)
        self.today = today
        group: Any = self.fields["group"]
        group.queryset = Group.objects.of(outfit)

    def clean_bulls_in(self) -> date:
        """The first day, which has come already."""
        day: date = self.cleaned_data["bulls_in"]
        if day > self.today:
            raise forms.ValidationError("That day lies in the future.")
        return day

    def clean(self) -> dict[str, Any]:
        """Ask for days in order."""
        data = super().clean() or self.cleaned_data
        first, last, until = (data.get(name) for name in ("bulls_in", "bulls_out", "until"))
        if first and last and last < first:
            self.add_error("bulls_out", "The bulls can't come out before they went in.")
        if until and until > self.today:
            self.add_error("until", "That day lies in the future.")
        elif first and until and until < first:
            self.add_error("until", "That is before the bulls went in.")
        return data


class KinForm(forms.Form):
    """A group that holds bulls, one that holds females, and from when an inbred calf is too close."""

    bulls = _group_field("Bulls of", empty_label="choose a group")
    females = _group_field("Females of", empty_label="choose a group")
    bound = forms.DecimalField(
        label="Too close from, %", required=False, min_value=0, max_value=100, decimal_places=4, initial=BOUND,
        help_text="6.25 where empty, as of the calf of first cousins; half sibs make 12.5.",
    )  # fmt: skip

    def __init__(self, data: Any, *, outfit: Outfit) -> None:
        super().__init__(data, use_required_attribute=False)
        for name in ("bulls", "females"):
            field: Any = self.fields[name]
            field.queryset = Group.objects.of(outfit).filter(is_closed=False)
            field.error_messages["required"] = "Choose a group."

    def clean_bound(self) -> Decimal:
        """The bound, or the usual one where it is empty."""
        bound: Decimal | None = self.cleaned_data["bound"]
        return BOUND if bound is None else bound
