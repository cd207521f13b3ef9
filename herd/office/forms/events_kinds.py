"""What single kinds of event ask beside their fields: where it went, which calf, whether a weight can be."""

from typing import Any, ClassVar

from django import forms

from herd.office.forms.events import EventForm
from herd.office.forms.events_medicine import MedicineForm
from herd.office.forms.events_reading import days_fault
from herd.office.forms.fields import choice_field, text_field
from herd.office.holds import name_held
from herd.office.naming import names_of
from herd.registry.models import Animal
from herd.registry.queries.weighings import weighed_before
from herd.registry.queries.withdrawal import Holds, withdrawals
from herd.registry.services.medicine_checks import DESPITE
from herd.values.eventkinds import MEDICINE_KINDS, PARTING_KINDS
from herd.values.weighing import Before, doubts_of, shown


class WeightForm(EventForm):
    """A weight; one that can hardly be is asked about once."""

    GROUPS: ClassVar = (("", ("happened_on", "weight", "unit", "purpose")),)

    def finish(self, cleaned: dict[str, Any]) -> None:
        """Ask whether a doubtful weight is right; the tick counts for the figure it was shown with."""
        day = cleaned.get("happened_on")
        if not self.weight_ng or not day or len(self.animals) != 1:
            return
        before = weighed_before(self.outfit, self.animals, day).get(self.animals[0], Before())
        is_birth = cleaned.get("purpose") == "birth"
        doubts = doubts_of(self.weight_ng, day, before, self.outfit.unit, is_birth=is_birth)
        if not doubts:
            return
        figure = str(self.weight_ng)
        label = f"{shown(self.weight_ng, self.outfit.unit)} is right"
        box = forms.CheckboxInput(attrs={"value": figure})
        self.fields["is_right"] = forms.BooleanField(label=label, required=False, widget=box)
        if self.data.get("is_right") != figure:
            self.add_error("is_right", " ".join(doubts) + " Look at the scale sheet; tick here if it is right.")


class MovementForm(EventForm):
    """A movement, to a location of the outfit or to a place in words."""

    def prepare(self) -> None:
        """Words are needed only where no location is chosen."""
        self.fields["to"].required = False
        self.fields["to"].help_text = "Where it is none of the locations, or to say more."
        self.order_fields(["happened_on", "location", "to"])

    def finish(self, cleaned: dict[str, Any]) -> None:
        """Name the location in words as well, so that the event reads by itself."""
        place = cleaned.get("location")
        if place:
            names = dict(getattr(self.fields["location"], "choices", ()))
            self.data_read.setdefault("to", names.get(place, ""))
        elif not self.data_read.get("to"):
            self.add_error("to", "Moved to is needed.")


class CalvingForm(EventForm):
    """A calving; the dam's calves are there to choose from, any other by its number."""

    def prepare(self) -> None:
        """Offer the calves of the dam, the youngest first."""
        rows = Animal.objects.of(self.outfit).filter(dam__in=self.animals).order_by("-born_on", "-pk")[:20]
        calves = {str(row.pk): row for row in rows}
        names = names_of(self.outfit, [row.pk for row in calves.values()])
        if not calves:
            return
        words = [(key, f"{names[key]}, born {row.born_on or 'on a day not known'}") for key, row in calves.items()]
        self.fields["her_calf"] = choice_field("Her calf", [("", "none of these"), *words], is_required=False)
        self.fields["calf"].label = "Another calf"
        self.order_fields(["happened_on", "her_calf", "calf"])

    def finish(self, cleaned: dict[str, Any]) -> None:
        """The calf chosen stands unless another was typed."""
        if cleaned.get("her_calf"):
            self.data_read.setdefault("calf", cleaned["her_calf"])


class CheckForm(EventForm):
    """A pregnancy check."""

    def finish(self, cleaned: dict[str, Any]) -> None:
        """Days bred belong to a pregnancy, and no pregnancy is longer than the longest."""
        fault = days_fault(cleaned.get("result"), cleaned.get("days"))
        if fault:
            self.add_error("days", fault)


class PartingForm(EventForm):
    """A sale or a transfer: names who is in withdrawal, and goes on only with a tick and a reason."""

    def prepare(self) -> None:
        """Ask for tick and reason where someone is held on the day."""
        self.holds: Holds = withdrawals(self.outfit, self.animals, self._day()) if self.animals else {}
        if not self.holds:
            del self.fields[DESPITE]
            return
        hint = "It stands in the history, such as: to a feedlot, not to slaughter."
        self.fields[DESPITE] = text_field("Why it goes all the same", is_required=True, hint=hint)
        self.fields[DESPITE].error_messages["required"] = "A reason is needed, because of the withdrawal."
        self.fields["is_sure"] = forms.BooleanField(
            label="I have looked at the label and the end of the withdrawal; it is to be recorded",
            error_messages={"required": "Tick this if it is to be recorded all the same."},
        )

    def _day(self) -> Any:
        field = self.fields["happened_on"]
        given = self.get_initial_for_field(field, "happened_on")
        try:
            return field.clean(self.data.get("happened_on")) if self.is_bound else given
        except forms.ValidationError:
            return given

    @property
    def cautions(self) -> list[str]:
        """Each animal that is held, until when and by what."""
        return [f"{name}: {words}." for _, name, words in name_held(self.outfit, self.holds)]


FORMS: dict[str, type[EventForm]] = {
    "weight": WeightForm,
    "pregnancy_check": CheckForm,
    "movement": MovementForm,
    "calving": CalvingForm,
    **dict.fromkeys(PARTING_KINDS, PartingForm),
    **dict.fromkeys(MEDICINE_KINDS, MedicineForm),
}


def form_for(kind: str) -> type[EventForm]:
    """The form of a kind of event."""
    return FORMS.get(kind, EventForm)


