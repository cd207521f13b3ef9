"""The promises of the protocol (I1 to I12), judged from what phones did and what the ledger says, not by its code."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from herd.intake.models import Finding, StagedRow
from herd.ledger.models import Change
from herd.registry.models import Animal, Event, TagWearing
from herd.sync.models import Operation
from tests.sync.properties.fieldphone import FINAL, FieldPhone, position
from tests.sync.properties.world import VALUES, World, changed_facts

IN_RECORD = {"applied", "merged"}


@contextmanager
def reading(world: World, phone: FieldPhone) -> Iterator[list[str]]:
    """I5: of all that was committed between the old and the new cursor, everything has come."""
    before, epoch, came = position(phone.cursor), phone.epoch, []
    yield came
    after = position(phone.cursor)
    if before < 0 or phone.epoch != epoch or after < before:
        return
    changes = Change.objects.filter(outfit=world.outfit, position__gt=before, position__lte=after)
    told = {str(one) for one in changes.exclude(animal_id=None).values_list("animal_id", flat=True)}
    assert told <= set(came), f"I5: {told - set(came)} changed between {before} and {after}, and did not come"


def groups_are_whole(world: World) -> None:
    """I9: of operations that go together all are in the record, or none."""
    together: dict[str, list[str]] = {}
    for phone in world.phones:
        for op_id, body in phone.captured.items():
            if body.get("group"):
                together.setdefault(body["group"], []).append(op_id)
    if not together:
        return
    statuses = _statuses(world)
    for op_ids in together.values():
        found = {statuses.get(one) in IN_RECORD for one in op_ids}
        assert len(found) == 1, f"I9: {[statuses.get(one) for one in op_ids]} of one group"
        made = Change.objects.filter(outfit=world.outfit, source_row__in=op_ids, subject_kind=Event.SUBJECT)
        assert made.exists() <= found.pop(), "I9: an event of a group is there without the rest"


def all_promises(world: World) -> None:
    """All that holds when the network is quiet."""
    everything_is_stored(world)
    each_event_is_there_once(world)
    nothing_was_overwritten_unseen(world)
    edits_are_in_the_record_or_before_a_person(world)
    tags_are_worn_by_one(world)
    groups_are_whole(world)
    held_names_what_is_missing(world)
    all_have_the_same(world)


def all_have_the_same(world: World) -> None:
    """I1 and I10: what each phone has is what a first copy gives it now, no more and no less."""
    for phone in world.phones:
        fresh = FieldPhone(phone.token, phone.scope, phone.device)
        fresh.first_copy()
        assert phone.base.keys() == fresh.base.keys(), f"I1: {phone.base.keys() ^ fresh.base.keys()} on one side only"
        for key, card in fresh.base.items():
            kept = phone.base[key]
            differs = {name: (kept[name], value) for name, value in card.items() if kept[name] != value}
            assert not differs, f"I1: {key} has {differs}"


def everything_is_stored(world: World) -> None:
    """I3 and I8: each operation is kept with a final status, and no outbox holds anything."""
    statuses = _statuses(world)
    for phone in world.phones:
        assert not phone.outbox, "I8: something stays in the outbox"
        missing = phone.captured.keys() - statuses.keys()
        assert not missing, f"I3: {[phone.captured[one] for one in missing]} is nowhere"
        assert {statuses[one] for one in phone.captured} <= FINAL


def each_event_is_there_once(world: World) -> None:
    """I2: an event that is in the record is there once, by the id of its operation, and with what it said."""
    statuses = _statuses(world)
    made = Change.objects.filter(outfit=world.outfit, subject_kind=Event.SUBJECT, action="created")
    born = Counter(made.values_list("source_row", flat=True))
    events = {one.pk: one for one in Event.objects.filter(outfit=world.outfit)}
    for phone in world.phones:
        for op_id, body in phone.captured.items():
            if body["kind"] not in {"event", "event.correct"}:
                continue
            key, status = UUID(op_id), statuses[op_id]
            assert born[key] <= 1, f"I2: {body} is in the record {born[key]} times"
            if status in IN_RECORD:
                assert key in events, f"I2: {body} was {status}, and is not in the record by its id"
                wanted = body["data"]["data"].get("weight")
                assert events[key].data.get("weight") == wanted, f"I2: {events[key].data} instead of {body}"
            else:
                assert born[key] == 0, f"I2: {body} is {status}, and in the record all the same"


def nothing_was_overwritten_unseen(world: World) -> None:
    """I4: whoever replaced a value had seen it."""
    seen = set(world.seen)
    for phone in world.phones:
        for body in phone.captured.values():
            if body["kind"] == "animal.edit":
                for name, change in body["set"].items():
                    seen.add((UUID(body["subject"]["animal"]), name, change["from"], change["to"]))
    by_value = {one[1:] for one in seen}
    for name in VALUES:
        for change in changed_facts(world.outfit, name):
            before, after = str((change.before or {})[name]), str((change.after or {})[name])
            if change.changeset.undoes_id or before == after:
                continue
            saw = (change.subject_id, name, before, after) in seen or (
                # Through an id of a phone's making, or one that was merged.
                (name, before, after) in by_value and _had_other_ids(world, change.subject_id)
            )
            assert saw, f"I4: {name} of {change.subject_id} went from {before!r} to {after!r}, which nobody meant"


def edits_are_in_the_record_or_before_a_person(world: World) -> None:
    """I4, the other half: a value that was asked for stood in the record, or a person is asked, or it says why not."""
    stood = {name: _ever_stood(world, name) for name in VALUES}
    rows = {one.op_id: one for one in Operation.objects.filter(outfit=world.outfit, kind="animal.edit")}
    asked = _asked(world)
    for one in rows.values():
        if one.status in IN_RECORD:
            never = [name for name, change in one.body["set"].items() if change["to"] not in stood[name]]
            assert not never, f"I4: {one.body} was {one.status}, and {never} never stood there"
        elif one.status == "review":
            assert _is_before_a_person(one, asked), f"I4: {one.body} waits, and nobody is asked"
        else:
            assert one.answer.get("reasons"), f"I4: {one.body} is {one.status} without a reason"


def _ever_stood(world: World, name: str) -> set[str]:
    changes = Change.objects.filter(outfit=world.outfit, subject_kind=Animal.SUBJECT)
    return {str(side[name]) for one in changes for side in (one.before or {}, one.after or {}) if name in side}


def tags_are_worn_by_one(world: World) -> None:
    """I6: a number hangs on one animal at a time; a claim against that is before a person."""
    worn = TagWearing.objects.of(world.outfit).filter(ended="")
    twice = [key for key, count in Counter(worn.values_list("tag", flat=True)).items() if count > 1]
    assert not twice, f"I6: {twice} is worn by two"
    asked = _asked(world)
    for one in Operation.objects.filter(outfit=world.outfit, kind__in=["tag.on", "tag.off", "animal.register"]):
        is_asked = one.status != "review" or _is_before_a_person(one, asked)
        assert is_asked, f"I6: {one.body} waits as {_where(one)}, and nobody is asked"


def held_names_what_is_missing(world: World) -> None:
    """Nothing is held for an animal or an event that has come by now."""
    held = Operation.objects.filter(outfit=world.outfit, status="held", row_id=None)
    here = set(map(str, Animal.objects.of(world.outfit).values_list("pk", flat=True)))
    events = set(map(str, Event.objects.of(world.outfit).values_list("pk", flat=True)))
    for one in held.order_by("received_at"):
        if one.body.get("group"):
            continue
        if one.kind in {"event.void", "event.correct"}:
            assert one.body["data"]["event"] not in events, f"{one.body} is held, and its event is there"
        else:
            assert one.body["subject"].get("animal") not in here, f"{one.body} is held, and its animal is there"


def _had_other_ids(world: World, animal: UUID) -> bool:
    if Animal.objects.filter(outfit=world.outfit, same_as=animal).exists():
        return True
    made = Operation.objects.filter(outfit=world.outfit, kind="animal.register").exclude(subject_id=animal)
    return any(one.answer.get("animal") == str(animal) for one in made) or StagedRow.objects.filter(
        pk__in=made.values("row_id"), animal_id=animal
    ).exists()


def _asked(world: World) -> set[str]:
    """Rows on which a finding is open."""
    return {row for one in Finding.objects.filter(day__outfit=world.outfit, is_open=True) for row in one.rows}


def _is_before_a_person(one: Operation, asked: set[str]) -> bool:
    """Whether a finding on it is open; or the record has come to say the same by now."""
    row: Any = StagedRow.objects.filter(pk=one.row_id).first()
    if row is None:
        return False
    # The same claim made twice is one question, on the later of its rows.
    about = Finding.objects.filter(day=row.day_id, animal_id=row.animal_id, animal_id__isnull=False, is_open=True)
    return str(row.pk) in asked or row.state in {"known", "applied", "set_aside", "unusable"} or about.exists()


def _statuses(world: World) -> dict[str, str]:
    rows = Operation.objects.filter(outfit=world.outfit, op_id__isnull=False).values_list("op_id", "status")
    return {str(op_id): status for op_id, status in rows}


def _where(one: Operation) -> str:
    row = StagedRow.objects.filter(pk=one.row_id).first()
    return f"{row.state} ({row.reason})" if row else "no row"
