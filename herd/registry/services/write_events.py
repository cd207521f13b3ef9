"""Events, and the voiding of wrong ones."""

from typing import Any

from herd.ledger.models import Action
from herd.ledger.rows import new_row
from herd.registry.models import Event
from herd.registry.services.batch import Leave, NewEvent
from herd.registry.services.event_checks import check_events
from herd.registry.services.work import Work, fetch, insert, save_all, subject_of
from herd.values.eventkinds import EVENT_KINDS, LEAVING, STANDING_KINDS


def void_events(work: Work) -> None:
    """Void events; the rows stay in the table."""
    wanted = {one.event_id: one for one in work.batch.voids}
    rows = fetch(Event, work.outfit, wanted, to_edit=True)
    for event_id, one in wanted.items():
        row = rows.get(event_id)
        if row is None:
            work.refuse("That event is not in this outfit's record, or is void already.")
            continue
        row.is_void = True
        row.revision += 1
        work.pen.write(
            subject_of(row),
            Action.VOIDED,
            before={"is_void": False},
            after={"is_void": True},
            source=one.source,
            reason=one.reason,
        )
        if row.kind in STANDING_KINDS:
            work.refold.add(row.animal_id)
        if EVENT_KINDS[row.kind].effect in LEAVING and row.happened_on:
            work.returns.append(Leave(row.animal_id, row.happened_on, one.source))
    if not work.refusals:
        save_all(rows.values(), ["is_void"])


def insert_events(work: Work) -> None:
    """Insert events; one that takes the animal out of the herd closes its membership that day."""
    wanted = work.batch.events
    if not wanted:
        return
    check_events(work, wanted)
    if work.refusals:
        return
    rows = [_row(work, one) for one in wanted]
    insert(work, rows, [one.source for one in wanted])
    for one in wanted:
        effect = EVENT_KINDS[one.kind].effect
        if effect is not None:
            work.refold.add(one.animal_id)
        if effect in LEAVING and one.happened_on:
            work.leaves.append(Leave(one.animal_id, one.happened_on, one.source))


def _row(work: Work, one: NewEvent) -> Event:
    data: dict[str, Any] = dict(one.data)
    return new_row(
        Event,
        id=one.id,
        outfit_id=work.outfit.pk,
        animal_id=one.animal_id,
        kind=one.kind,
        happened_on=one.happened_on,
        happened_at=one.happened_at,
        precision=one.precision,
        recorded_at=work.now,
        data=data,
        weight_ng=one.weight_ng,
        tube=str(data.get("tube", "")),
        supersedes_id=one.supersedes,
    )
