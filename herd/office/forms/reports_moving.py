"""The form of a journey: which animals, where from, where to, when, what for."""

from decimal import Decimal
from typing import Any

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.fields import choice_field, day_field, text_field
from herd.office.forms.given import NumbersForm
from herd.office.today import today_of
from herd.registry.models import Group
from herd.reports.journeys import Plan
from herd.values.movementrules import Journey
from herd.values.premises import read_premises
from herd.values.problems import Unreadable
from herd.values.states import POSTAL_CODES, state_name

JOURNEYS = (
    (Journey.ORDINARY, "sale, pasture, breeding, feeding or another ordinary reason"),
    (Journey.SHOW, "a show or exhibition"),
    (Journey.RODEO, "rodeo or recreational events"),
    (Journey.SLAUGHTER, "straight to slaughter"),
    (Journey.TAGGING_SITE, "straight to an approved tagging site"),
    (Journey.COMMUTER, "under a commuter herd agreement"),
    (Journey.THROUGH, "through another state and back home"),
)
STATES = sorted((state_name(code), code) for code in POSTAL_CODES if code != "US" and state_name(code))
STATE_CHOICES = [("", "not said"), *((code, name) for name, code in STATES)]
JOURNEY_FIELDS = (
    *("on", "journey", "from_premises", "from_state", "receiver", "to_premises", "to_state", "shrink"),
    "all_dairy",
)
PREMISES_HINT = "Seven letters and digits with a check, or a state's own of six or eight."


class MovingForm(NumbersForm):
    """A journey; its animals are a group, numbers, or those picked before, which the view carries beside it."""

    group = forms.ModelChoiceField(
        queryset=Group.objects.none(), required=False, label="A group", empty_label="no group"
    )
    on = day_field("Day of the move")
    journey = choice_field("What for", [(one.value, words) for one, words in JOURNEYS])
    from_premises = text_field("Sending premises number", longest=12, hint=PREMISES_HINT)
    from_state = choice_field("From the state", STATE_CHOICES, is_required=False)
    receiver = text_field("Going to", hint="The receiver's name and address, as the certificate asks for them.")
    to_premises = text_field("Receiving premises number", longest=12)
    to_state = choice_field(
        "To the state", STATE_CHOICES, is_required=False, hint="Without both it is judged as crossing a state line."
    )
    all_dairy = forms.BooleanField(
        required=False,
        label="All are dairy cattle, or offspring of a dairy breed",
        help_text="Dairy breeds that the record names are known without this.",
    )
    shrink = forms.DecimalField(
        required=False,
        min_value=0,
        max_value=Decimal(50),
        max_digits=4,
        decimal_places=2,
        label="Pencil shrink, per cent",
        help_text="Taken off the last weights on the sale sheet; shrink of the gut alone is usually 2 to 6.",
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "any"}),
    )

    def __init__(self, *args: Any, outfit: Outfit, has_animals: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.has_animals = has_animals
        group: Any = self.fields["group"]
        group.queryset = Group.objects.of(outfit).filter(is_closed=False)
        self.fields["on"].initial = today_of(outfit)
        self.fields["from_premises"].initial = outfit.premises_number
        self.fields["typed"].label = "Numbers"

    def clean(self) -> dict[str, Any]:
        """Ask for animals, from one place or several."""
        data = super().clean()
        given = self.has_animals or data.get("group") or data.get("numbers")
        if not given and not {"typed", "upload", "group"} & set(self.errors):
            self.add_error("typed", "Give a group or numbers, or pick animals in the herd list.")
        return data

    def clean_from_premises(self) -> str:
        """The number in capitals, checked."""
        return _premises(self.cleaned_data["from_premises"])

    def clean_to_premises(self) -> str:
        """The number in capitals, checked."""
        return _premises(self.cleaned_data["to_premises"])

    @property
    def animal_fields(self) -> list[forms.BoundField]:
        """Which animals."""
        return [self[name] for name in ("group", "typed", "upload")]

    @property
    def journey_fields(self) -> list[forms.BoundField]:
        """Where, when and what for."""
        return [self[name] for name in JOURNEY_FIELDS if name != "all_dairy"]

    def plan(self) -> Plan:
        """The journey as the rule asks about it; after `is_valid`."""
        said = self.cleaned_data
        states = (said["from_state"], said["to_state"])
        return Plan(Journey(said["journey"]), said["on"], not all(states) or states[0] != states[1], said["all_dairy"])


def _premises(text: str) -> str:
    if not text.strip():
        return ""
    try:
        return read_premises(text).number
    except Unreadable as problem:
        raise forms.ValidationError(problem.reason) from problem
