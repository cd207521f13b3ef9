"""Events, and the voiding of wrong ones."""

from datetime import timedelta
from typing import Any

from herd.registry.models import Animal, Event
from herd.registry.services.batch import Leave, NewEvent
from herd.registry.services.work import Work, chunks, fetch, insert, save_all, subject_of
from herd.ledger.models import Action
from herd.values.eventkinds import EVENT_KINDS, LEAVING, STANDING_KINDS, check_event


def void_events(work: Work) -> None:
    """Void events; the rows stay in the table."""
    wanted = {one.event_id: one for one in work.batch.voids}
    rows = fetch(Event, work.outfit, wanted)
    for event_id, one in wanted.items():
        row = rows.get(event_id)
        if row is None:
            work.refuse("That event is not in this outfit's record, or is void already.")
            continue
        row.is_void = True
        row.revision += 1
        work.pen.write(
            subject_of(row), Action.VOIDED, before={"is_void": False}, after={"is_void": True},
            source=one.source, reason=one.reason,
        )
        if row.kind in STANDING_KINDS:
            work.refold.add(row.animal_id)
    if not work.refusals:
        save_all(rows.values(), ["is_void"])


def insert_events(work: Work) -> None:
    """Insert events; one that takes the animal out of the herd closes its membership that day."""
    wanted = work.batch.events
    if not wanted:
        return
    known = fetch(Animal, work.outfit, (one.animal_id for one in wanted))
    for one in wanted:
        _check(work, one, known)
    _check_tubes(work, wanted)
    if work.refusals:
        return
    rows = [_row(work, one) for one in wanted]
    insert(work, rows, [one.source for one in wanted])
    for one in wanted:
        effect = EVENT_KINDS[one.kind].effect
        if effect is not None:
            work.refold.add(one.animal_id)
        if effect in LEAVING and one.happened_on:
            work.batch.leaves.append(Leave(one.animal_id, one.happened_on, one.source))


def _row(work: Work, one: NewEvent) -> Event:
    data: dict[str, Any] = dict(one.data)
    return Event(
        id=one.id,
        outfit=work.outfit,
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


def _check(work: Work, one: NewEvent, known: dict[Any, Animal]) -> None:
    animal = known.get(one.animal_id)
    if animal is None:
        work.refuse("That animal is not in this outfit's record.", animal_id=one.animal_id)
        return
    for reason in check_event(one.kind, dict(one.data)):
        work.refuse(reason, field_name="data", animal_id=one.animal_id)
    if "weight" in one.data and not (one.weight_ng and one.weight_ng > 0):
        work.refuse("A weight must be more than nothing.", field_name="weight", animal_id=one.animal_id)
    # The outfit's day may be a day ahead of universal time.
    if one.happened_on and one.happened_on > work.now.date() + timedelta(days=1):
        work.refuse(
            f"The day {one.happened_on} lies in the future.", field_name="happened_on", animal_id=one.animal_id
        )
    if one.happened_on and animal.born_on and animal.born_precision == "day" and one.happened_on < animal.born_on:
        work.refuse(
            f"The animal was born on {animal.born_on}; this is dated {one.happened_on}.",
            field_name="happened_on",
            animal_id=one.animal_id,
        )


def _check_tubes(work: Work, wanted: list[NewEvent]) -> None:
    """Refuse a sample tube that another sample has used."""
    tubes = [str(one.data.get("tube", "")) for one in wanted if one.kind == "sample"]
    for some in chunks(set(tubes)):
        used = Event.objects.of(work.outfit).filter(kind="sample", tube__in=some)
        for event in used:
            work.refuse(
                f"Tube {event.tube} was used on {event.happened_on}.", field_name="tube", animal_id=event.animal_id
            )
    for tube in {tube for tube in tubes if tubes.count(tube) > 1}:
        work.refuse(f"Tube {tube} would be used twice.", field_name="tube")
