"""What the reports on growth are asked: which animals, and between which days."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field
from herd.office.forms.reports import A_YEAR, PeriodForm
from herd.registry.models import Group, HerdList
from herd.reports.growthmeasured import HIP, SCROTAL
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.plausibility import plausible_range


class GainForm(PeriodForm):
    """Two days, and a group or a list kept from the herd list; neither where animals were picked already."""

    group = forms.ModelChoiceField(queryset=Group.objects.none(), label="Group", required=False, empty_label="none")
    kept = forms.ModelChoiceField(
        queryset=HerdList.objects.none(), label="Or a kept list", required=False, empty_label="none",
        help_text="The animals that answer the list's question today.",
    )  # fmt: skip

    field_order = ("group", "kept", "since", "until")

    def __init__(self, data: Any, *, today: date, outfit: Outfit, has_picks: bool) -> None:
        since = today - A_YEAR
        if data and not {"since", "until"} & set(data):
            # A link from elsewhere names animals only; the fields then show the days that are meant.
            data = {**data.dict(), "since": since.isoformat(), "until": today.isoformat()}
        super().__init__(data, today=today, since=since)
        if has_picks:
            del self.fields["group"], self.fields["kept"]
            return
        group: Any = self.fields["group"]
        kept: Any = self.fields["kept"]
        group.queryset, kept.queryset = Group.objects.of(outfit), HerdList.objects.of(outfit)

    def clean(self) -> dict[str, Any]:
        """Ask for one of the two ways to name animals."""
        data = super().clean()
        given = [name for name in ("group", "kept") if data.get(name)]
        if "group" in self.fields and len(given) != 1 and not {"group", "kept"} & set(self.errors):
            self.add_error("group", "Choose a group or a kept list." if not given else "Choose one of the two.")
        return data


class MeasuredForm(PeriodForm):
    """Two days, and which measure of size."""

    kind = choice_field("Measure", [(HIP, "hip height"), (SCROTAL, "scrotal circumference")], is_required=False)

    field_order = ("kind", "since", "until")

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data, today=today, since=today - A_YEAR)


class CalvesForm(PeriodForm):
    """The days of birth of a calf crop, the birth weight for those not weighed, and which list is wanted."""

    standard = forms.DecimalField(
        label="Standard birth weight", required=False, max_digits=6, decimal_places=1,
        error_messages={"invalid": "Give a weight as a number, such as 80."},
    )  # fmt: skip
    show = choice_field(
        "List", [("", "calf by calf"), ("groups", "contemporary groups"), ("dams", "dams")], is_required=False
    )

    def __init__(self, data: Any, *, today: date, unit: WeightUnit) -> None:
        # A calf that is a yearling now was born in the year before.
        super().__init__(data, today=today, since=today.replace(year=today.year - 1, month=1, day=1))
        standard: Any = self.fields["standard"]
        standard.help_text = f"In {unit}, for calves not weighed at birth; your breed’s. Empty: they are left out."
        self.fields["since"].label, self.fields["until"].label = "Born from", "Born to"
        lightest, heaviest = (each.nanograms / NANOGRAMS[unit] for each in plausible_range("calf", 0))
        standard.validators.append(_between(lightest, heaviest, unit))


def _between(lightest: float, heaviest: float, unit: WeightUnit) -> Callable[[Decimal], None]:
    def check(weight: Decimal) -> None:
        if not lightest <= weight <= heaviest:
            raise forms.ValidationError(f"A newborn calf weighs {lightest:.0f} to {heaviest:.0f} {unit}.")

    return check
