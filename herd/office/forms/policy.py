"""The form of one value of the policy: what it is to be, and from which day on."""

from datetime import date
from typing import Any

from django import forms

from herd.office.forms.fields import day_field, text_field
from herd.values.policyshapes import Shape, write_value
from herd.values.policyvalues import POLICY_VALUES, PolicyValue

LONGEST = 2_000
PAST = "A day in the past changes reports of that time: they are made anew with the value."


class PolicyForm(forms.Form):
    """A value as it is typed, and the day from which it counts."""

    in_force_from = day_field("From", hint=PAST)

    field_order = ("text", "in_force_from")

    def __init__(self, *args: Any, key: str, stands: Any, today: date, needs_value: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"] = _field(POLICY_VALUES[key])
        self.fields["text"].initial = write_value(stands)
        self.fields["text"].required = needs_value and self.fields["text"].required
        self.fields["in_force_from"].initial = today
        self.order_fields(self.field_order)


def _field(one: PolicyValue) -> forms.Field:
    label = one.label[0].upper() + one.label[1:]
    if one.shape is Shape.CHOICE:
        return forms.ChoiceField(label=label, choices=list((one.words or {}).items()))
    if one.shape in {Shape.BREEDS, Shape.DAMS}:
        rows = forms.Textarea(attrs={"rows": 8, "autocomplete": "off"})
        return forms.CharField(label=label, required=False, max_length=LONGEST, widget=rows, help_text=one.hint)
    hint = one.hint or f"In {one.unit}, {one.limits}."
    field = text_field(label, hint=hint, is_required=True)
    if one.shape is not Shape.WINDOW:
        field.widget.attrs["inputmode"] = "decimal"
    return field
