"""Events: recorded, voided, corrected. They are append-only, so that no two devices are in each other's way."""

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from django.db import transaction

from herd.intake.matching.numbers import Row
from herd.registry.models import Event
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refused
from herd.sync.judging import judge_rows, refused_by_record
from herd.sync.models import Operation, OperationStatus
from herd.sync.performing.equals import name_equals
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent, refused
from herd.values.deviceclock import Told
from herd.values.eventdata import EventData, UnreadableField, read_event_data
from herd.values.eventkinds import EVENT_KINDS, check_event

WAITS = "The animal that it names has not come yet."
ASIDE = "What it names was kept aside, and is not in the record."
ELSEWHERE = "The record had the same from elsewhere already, and that stays as it is."


def record(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Record events together; each has its own answer."""
    answers: dict[UUID, Answer] = {}
    pairs: list[tuple[Sent, Row]] = []
    for sent in sents:
        kind = str(sent.data.get("kind", ""))
        read = _read(run, sent, kind)
        if isinstance(read, Answer):
            answers[sent.op_id] = read
        elif sent.animal and run.subject(sent) is None:
            answers[sent.op_id] = Answer(OperationStatus.HELD, [{"pointer": "/subject/animal", "detail": WAITS}])
        else:
            moment = sent.told.at.astimezone(run.outfit.zone)
            event = {"kind": kind, "data": read.data, "ng": read.weight_ng}
            pairs.append((sent, run.row(sent, event=event, time=f"{moment:%H:%M:%S}")))
    answers |= judge_rows(run, pairs, f"{len(pairs)} sent by {run.device.name}")
    name_equals(run, pairs, answers)
    return answers


def _read(run: Run, sent: Sent, kind: str) -> EventData | Answer:
    data = sent.data.get("data", {})
    if kind not in EVENT_KINDS:
        return refused(f"There is no kind of event called {kind[:40]!r}.", "/data/kind")
    if not isinstance(data, dict):
        return refused("The data of an event is an object.", "/data/data")
    try:
        read = read_event_data(data, run.outfit.unit)
    except UnreadableField as problem:
        return refused(str(problem), f"/data/data/{problem.field}")
    wrong = check_event(kind, dict(read.data))
    return refused(" ".join(wrong), "/data/data") if wrong else read


def void(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Void events that did not happen."""
    return {sent.op_id: _void(run, sent) for sent in sents}


def _void(run: Run, sent: Sent) -> Answer:
    ended, event = _ended(run, sent), _event(run, sent)
    if event is None:
        return _void_without_event(sent, ended)
    if event.is_void:
        return Answer(OperationStatus.APPLIED, animal=event.animal_id)
    try:
        with transaction.atomic():
            label = EVENT_KINDS[event.kind].label
            reason = str(sent.data.get("reason", ""))[:200] or "voided on the device"
            events.void(entry=run.entry(f"Voided {label}"), event_id=event.pk, reason=reason)
    except Refused as problem:
        return refused_by_record(problem)
    return Answer(OperationStatus.APPLIED, animal=event.animal_id)


def correct(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Void events and record what should have stood there, each as one."""
    return {sent.op_id: _correct(run, sent) for sent in sents}


def _correct(run: Run, sent: Sent) -> Answer:
    ended, event = _ended(run, sent), _event(run, sent)
    if event is None:
        return _correct_without_event(run, sent, ended)
    if event.is_void:
        return refused("The event was voided or corrected by another meanwhile.", "/data/event")
    read = _read(run, sent, event.kind)
    if isinstance(read, Answer):
        return read
    new = NewEvent(
        event.animal_id,
        event.kind,
        event.happened_on,
        read.data,
        happened_at=event.happened_at,
        precision=event.precision,
        weight_ng=read.weight_ng,
        id=sent.op_id,
        source=run.source(sent),
    )
    reason = str(sent.data.get("reason", ""))[:200] or "corrected on the device"
    try:
        with transaction.atomic():
            entry = run.entry(f"Corrected {EVENT_KINDS[event.kind].label}")
            events.correct(entry=entry, event_id=event.pk, new=new, reason=reason)
    except Refused as problem:
        return refused_by_record(problem)
    return Answer(OperationStatus.APPLIED, animal=event.animal_id)


def _named(sent: Sent) -> UUID | None:
    try:
        return UUID(str(sent.data.get("event")))
    except ValueError:
        return None


def _event(run: Run, sent: Sent) -> Event | None:
    key = _named(sent)
    return Event.objects.filter(outfit=run.outfit, pk=key).first() if key else None


def _ended(run: Run, sent: Sent) -> Operation | None:
    """The operation that was to be the event, once it has ended.

    It is looked for before the event: both come at one moment, and who sees the operation then sees its event too.
    """
    ended = Operation.objects.filter(outfit=run.outfit, op_id=_named(sent), kind="event")
    return ended.exclude(status__in=[OperationStatus.HELD, OperationStatus.REVIEW]).first() if _named(sent) else None


def _void_without_event(sent: Sent, ended: Operation | None) -> Answer:
    """Nothing is to be voided where the event was kept aside, or is another's that says the same."""
    if ended is None:
        return _unknown(sent)
    why = ASIDE if ended.status == OperationStatus.QUARANTINED else ELSEWHERE
    return Answer(OperationStatus.MERGED, [{"pointer": "/data/event", "detail": why}])


def _correct_without_event(run: Run, sent: Sent, ended: Operation | None) -> Answer:
    """What stands in place of another's event that said the same is an event of its own, judged as one."""
    if ended is None:
        return _unknown(sent)
    animal = ended.answer.get("animal")
    if ended.status == OperationStatus.QUARANTINED or not animal or ended.happened_at is None:
        return refused(ASIDE, "/data/event")
    kind = str((ended.body or {})["data"]["kind"])
    read = _read(run, sent, kind)
    if isinstance(read, Answer):
        return read
    then = replace(sent, told=Told(ended.happened_at, ended.clock_note))
    event = {"kind": kind, "data": read.data, "ng": read.weight_ng}
    pair = (then, run.row(then, animal=animal, event=event))
    answers = judge_rows(run, [pair], f"1 sent by {run.device.name}")
    name_equals(run, [pair], answers)
    return answers[sent.op_id]


def _unknown(sent: Sent) -> Answer:
    detail = "The event that it names has not come yet."
    return Answer(OperationStatus.HELD, [{"pointer": "/data/event", "detail": detail}])
