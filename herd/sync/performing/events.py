"""Events: recorded, voided, corrected. They are append-only, so that no two devices are in each other's way."""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from herd.intake.matching.numbers import Row
from herd.registry.models import Event
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from herd.registry.services.refused import Refused
from herd.sync.judging import judge_rows, refused_by_record
from herd.sync.models import OperationStatus
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent, refused
from herd.values.eventdata import EventData, UnreadableField, read_event_data
from herd.values.eventkinds import EVENT_KINDS, check_event

WAITS = "The animal that it names has not come yet."


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
    return answers | judge_rows(run, pairs, f"{len(pairs)} sent by {run.device.name}")


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
    event = _event(run, sent)
    if event is None:
        return _unknown(sent)
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
    event = _event(run, sent)
    if event is None:
        return _unknown(sent)
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


def _event(run: Run, sent: Sent) -> Event | None:
    try:
        key = UUID(str(sent.data.get("event")))
    except ValueError:
        return None
    return Event.objects.filter(outfit=run.outfit, pk=key).first()


def _unknown(sent: Sent) -> Answer:
    detail = "The event that it names has not come yet."
    return Answer(OperationStatus.HELD, [{"pointer": "/data/event", "detail": detail}])
