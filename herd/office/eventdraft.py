"""One event for many animals, from the first look to the write: who, what, who can't have had it, what each weighs."""

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from uuid import UUID

from django import forms

from herd.accounts.models import Outfit
from herd.office.forms.events import EventForm
from herd.office.forms.events_kinds import form_for
from herd.office.forms.events_rows import (
    COLUMNS,
    FOR_ALL,
    Row,
    doubt_rows,
    read_rows,
    rows_of,
)
from herd.office.naming import names_of
from herd.registry.queries.fitness import unfit
from herd.registry.services.batch import NewEvent
from herd.values.eventkinds import EventKind
from herd.values.identity import new_id


@dataclass(slots=True)
class Draft:
    """An event of a kind for many, as far as it has come.

    `refused` has who can't have had the event on the day, with the reason; `fit` are the others. `rows` is the
    table of what each animal has of its own, None where the kind is the same for all. `put_by` are the boxes
    typed for those refused, so that another day brings them back.
    """

    outfit: Outfit
    kind: EventKind
    form: EventForm
    fit: list[UUID]
    refused: dict[UUID, str]
    names: Mapping[str, str]
    rows: list[Row] | None = None
    put_by: list[tuple[str, str]] = field(default_factory=list)
    is_sound: bool = False
    events: list[NewEvent] = field(default_factory=list)

    @property
    def left_out(self) -> list[tuple[UUID, str, str]]:
        """Who is refused: id, name, reason."""
        return [(one, self.names[str(one)], reason) for one, reason in self.refused.items()]

    @property
    def empty(self) -> int:
        """How many rows have nothing in them and are passed over."""
        return len(self.fit) - len(self.events)

    @property
    def wrong(self) -> int:
        """How many rows need another look."""
        return sum(1 for row in self.rows or () if row.is_wrong)

    @property
    def seen(self) -> str:
        """A mark of who is refused: what is written must leave out just those who were shown."""
        listed = ",".join(sorted(str(one) for one in self.refused))
        return hashlib.sha256(listed.encode()).hexdigest()[:16]


def start_draft(
    outfit: Outfit, kind: EventKind, ids: Sequence[UUID], today: date, posted: Mapping[str, Any] | None
) -> Draft:
    """Make the form and the table; with what was `posted` they are read, and `events` made where all is sound."""
    day = _day(posted.get("happened_on")) if posted else today
    refused = unfit(outfit, ids, kind.key, day)
    fit = [one for one in ids if one not in refused]
    shared = FOR_ALL.get(kind.key, "")
    form = form_for(kind.key)(
        posted,
        kind=kind,
        outfit=outfit,
        today=today,
        animals=fit,
        apart=[key for key in COLUMNS.get(kind.key, ()) if key != shared],
    )
    if shared:
        form.fields[shared].required = False
        form.fields[shared].label = f"{form.fields[shared].label}, for all left empty below"
    names = names_of(outfit, ids)
    draft = Draft(outfit, kind, form, fit, refused, names)
    if kind.key in COLUMNS:
        draft.rows = rows_of(kind, fit, names, posted or {})
        aside = rows_of(kind, refused, names, posted or {})
        draft.put_by = [(box.name, box.value) for row in aside for box in row.boxes if box.value]
    if posted is not None:
        _read(draft, posted)
    return draft


def _day(value: Any) -> date | None:
    try:
        return forms.DateField().clean(value)
    except forms.ValidationError:
        return None


def _read(draft: Draft, posted: Mapping[str, Any]) -> None:
    is_valid = draft.form.is_valid()
    day = draft.form.cleaned_data.get("happened_on")
    if draft.rows is not None:
        read_rows(draft.outfit, draft.rows, str(posted.get("unit", "")), draft.form.data_read)
        if day:
            doubt_rows(draft.outfit, draft.rows, day, str(posted.get("purpose", "")), posted)
    draft.is_sound = is_valid and not draft.wrong
    if draft.is_sound:
        draft.events = list(_events(draft))


def _events(draft: Draft) -> Iterable[NewEvent]:
    """The events to write; the first has the form's own id, so that the form sent twice is written once."""
    first = draft.form.cleaned_data["event_id"] or new_id()
    by_animal = {row.animal_id: row for row in draft.rows or ()}
    for one in draft.fit:
        event = draft.form.event_of(one, first)
        if draft.rows is not None:
            row = by_animal[one]
            data = {**event.data, **row.reading.data}
            if not data.get(COLUMNS[draft.kind.key][0]):
                continue
            event = replace(event, data=data, weight_ng=row.reading.weight_ng)
        yield event
        first = new_id()
