"""The form of an event, made from what its kind declares in herd.values.eventkinds; some kinds add to it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any, ClassVar
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.events_reading import UNITS, asked_field, read_field
from herd.office.forms.fields import choice_field, day_field
from herd.registry.services.batch import NewEvent
from herd.values.eventkinds import EventField, EventKind, FieldKind
from herd.values.identity import new_id

Group = tuple[str, list[forms.BoundField]]


class EventForm(forms.Form):
    """One event of a kind on a day, for one animal or the same for many.

    `animals` are those it is about. `apart` names fields that are asked for each animal on its own, outside
    this form. `kept` has for a field the words shown and the value that stays behind them while nobody types
    others. `event_id` makes the same form sent twice one event.
    """

    # Legends with the fields under them; what no group names comes last, without a legend.
    GROUPS: ClassVar[tuple[tuple[str, tuple[str, ...]], ...]] = ()
    CONFIRMS: ClassVar[tuple[str, ...]] = ("despite_withdrawal", "is_sure", "is_right")

    event_id = forms.UUIDField(widget=forms.HiddenInput, required=False)
    happened_on = day_field("Day")

    def __init__(
        self,
        *args: Any,
        kind: EventKind,
        outfit: Outfit,
        today: date,
        animals: Sequence[UUID] = (),
        apart: Sequence[str] = (),
        kept: Mapping[str, tuple[str, str]] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.kind = kind
        self.outfit = outfit
        self.animals = animals
        self.kept = kept or {}
        self.asked = [one for one in kind.fields if one.key not in apart]
        self.fields["happened_on"].initial = today
        self.fields["event_id"].initial = new_id()
        for one in self.asked:
            if one.kind is not FieldKind.MOMENT:
                self.fields[one.key] = asked_field(one, outfit, self.initial.get(one.key))
        if any(one.kind is FieldKind.WEIGHT for one in kind.fields):
            self.fields["unit"] = choice_field("Unit", UNITS, initial=outfit.weight_unit)
        self.prepare()

    def prepare(self) -> None:
        """Add to the fields what the kind needs beside them."""

    @property
    def cautions(self) -> list[str]:
        """Sentences to read before the form is sent."""
        return []

    def groups(self) -> Iterator[Group]:
        """The visible fields under their legends."""
        named = {name for _, names in self.GROUPS for name in names}
        for legend, names in self.GROUPS:
            yield legend, [self[name] for name in names if name in self.fields]
        yield "", [field for field in self.visible_fields() if field.name not in {*named, *self.CONFIRMS, "reason"}]

    def confirms(self) -> list[forms.BoundField]:
        """What is asked last, before it goes on."""
        return [self[name] for name in self.CONFIRMS if name in self.fields]

    def clean(self) -> dict[str, Any]:
        """Read each field by its kind; `data`, `weight_ng`, `happened_at` are then what the record keeps."""
        cleaned = super().clean() or self.cleaned_data
        self.weight_ng: int | None = None
        self.happened_at: datetime | None = None
        self.data_read: dict[str, Any] = {}
        for one in self.asked:
            value = cleaned.get(one.key)
            shown, stays = self.kept.get(one.key, ("", ""))
            if value and value == shown:
                self.data_read[one.key] = stays
                continue
            self._read(one, value, str(cleaned.get("unit") or ""))
        self.finish(cleaned)
        return cleaned

    def _read(self, one: EventField, value: Any, unit: str) -> None:
        try:
            reading = read_field(self.outfit, one, value, unit)
        except forms.ValidationError as problem:
            self.add_error(one.key, problem)
            return
        self.data_read |= reading.data
        self.weight_ng = reading.weight_ng or self.weight_ng

    def finish(self, cleaned: dict[str, Any]) -> None:
        """Look at what was read as a whole; add errors, complete `data_read`."""

    def event_of(self, animal_id: UUID, event_id: UUID | None = None) -> NewEvent:
        """Return the event as the registry takes it."""
        return NewEvent(
            animal_id,
            self.kind.key,
            self.cleaned_data["happened_on"],
            self.data_read,
            happened_at=self.happened_at,
            weight_ng=self.weight_ng,
            id=event_id or new_id(),
        )
