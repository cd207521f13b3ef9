"""Takes a push: every operation is kept, each gets its final answer, and none stops the others.

The steps: read each; answer again what was answered before; check the device's right; perform runs of
operations in the order sent, each run in one transaction with the rows that say it was done. A crash between
runs loses nothing, since the device sends again and is answered from what is stored.
"""

import logging
from collections.abc import Callable, Iterator, Sequence
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.ledger.rows import insert_rows
from herd.sync.keeping import AWAY, kept
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState, Operation, OperationStatus
from herd.sync.performing import changesets
from herd.sync.performing.run import Run
from herd.sync.performing.verbs import VERBS
from herd.sync.protocol import OFFICE_KINDS, SIBLING_KINDS, Answer, Malformed, Push, Sent, refused
from herd.sync.reading import read_operation
from herd.sync.subjects import resolve

LOG = logging.getLogger(__name__)
UNWORKABLE = "It could not be worked out here; it is kept as it was sent."

WorkOut = Callable[[Device, Sequence[Sent]], dict[UUID, Answer]]
PERFORM = {**VERBS, "changeset": changesets.write_again}


class Withdrawn(Exception):  # noqa: N818
    """One of a group of operations did not go through, so that none of the group does."""

    def __init__(self, cause: dict[UUID, Answer]) -> None:
        super().__init__("A group of operations goes whole or not at all.")
        self.cause = cause


def push(device: Device, given: Push) -> list[dict[str, Any]]:
    """Perform a push and return an answer for each operation, in their order."""
    now = timezone.now()
    return perform(device, [read_operation(body, given.contact, now) for body in given.operations])


def perform(device: Device, read: Sequence[Sent | Malformed]) -> list[dict[str, Any]]:
    """Perform operations of a device as they were read, and return an answer for each, in their order."""
    answers: list[dict[str, Any]] = []
    for some in _runs(read):
        answers += _perform_or_retry(device, some)
    return answers


def _runs(read: Sequence[Sent | Malformed]) -> Iterator[list[Sent | Malformed]]:
    """Operations that go together: those of one group, or events one after the other; any other goes alone."""
    run: list[Sent | Malformed] = []
    for one in read:
        if run and not _goes_with(run[-1], one):
            yield run
            run = []
        run.append(one)
    if run:
        yield run


def _goes_with(last: Sent | Malformed, one: Sent | Malformed) -> bool:
    if isinstance(last, Malformed) or isinstance(one, Malformed):
        return False
    if group_of(last) or group_of(one):
        return group_of(last) == group_of(one)
    return last.kind == one.kind == "event"


def group_of(sent: Sent) -> str:
    """The group that an operation goes whole or not at all with; empty for none."""
    return group_of_body(sent.body)


def group_of_body(body: object) -> str:
    """The same of an operation that is kept as it came, whatever it is."""
    return str(body.get("group") or "")[:64] if isinstance(body, dict) else ""


def _perform_or_retry(device: Device, some: Sequence[Sent | Malformed]) -> list[dict[str, Any]]:
    try:
        return _perform(device, some, _answers)
    except AWAY:
        raise
    except Exception:
        # Mostly the same operation came by another way at the same moment: it is stored now, and answered from there.
        return _perform_or_give_up(device, some)


def _perform_or_give_up(device: Device, some: Sequence[Sent | Malformed]) -> list[dict[str, Any]]:
    try:
        return _perform(device, some, _answers)
    except AWAY:
        raise
    except Exception:
        LOG.exception("Operations of %s could not be worked out.", device)
        return _apart(device, some)


def _apart(device: Device, some: Sequence[Sent | Malformed]) -> list[dict[str, Any]]:
    """What nobody thought of must not keep a device from delivering the rest: try one by one, keep the last aside."""
    first = some[0]
    if len(some) > 1 and isinstance(first, Sent) and not group_of(first):
        return [answer for one in some for answer in _perform_or_give_up(device, [one])]
    return _perform(device, some, _unworkable)


def _perform(device: Device, some: Sequence[Sent | Malformed], work_out: WorkOut) -> list[dict[str, Any]]:
    with transaction.atomic():
        # Pushes of one device come one after the other, whatever its tabs and retries do.
        device = Device.objects.select_for_update(of=("self",)).select_related("outfit__upstream").get(pk=device.pk)
        known = _known(device, some)
        fresh = [one for one in some if isinstance(one, Sent) and one.op_id not in known]
        fresh = list({one.op_id: one for one in reversed(fresh)}.values())[::-1]
        answers = work_out(device, fresh)
        awaits = is_passed_on(device.outfit)
        insert_rows(kept(device, one, answers[one.op_id], awaits=awaits) for one in fresh)
        stored = {one.op_id: one for one in fresh}
        return [_answer(device, one, known, stored, answers) for one in some]


def _unworkable(device: Device, fresh: Sequence[Sent]) -> dict[UUID, Answer]:
    return {one.op_id: _forbidden(device, one) or refused(UNWORKABLE) for one in fresh}


def _known(device: Device, some: Sequence[Sent | Malformed]) -> dict[UUID | None, Operation]:
    ids = [one.op_id for one in some if one.op_id]
    return {one.op_id: one for one in Operation.objects.filter(outfit=device.outfit, op_id__in=ids)}


def _answers(device: Device, fresh: Sequence[Sent]) -> dict[UUID, Answer]:
    answers = {one.op_id: refusal for one in fresh if (refusal := _forbidden(device, one))}
    allowed = [one for one in fresh if one.op_id not in answers]
    if not allowed:
        return answers
    run = Run(device, timezone.now(), resolve(device.outfit, (one.animal for one in allowed if one.animal)))
    if group_of(allowed[0]):
        return answers | perform_group(run, allowed)
    return answers | PERFORM[allowed[0].kind](run, allowed)


def perform_group(run: Run, sents: Sequence[Sent]) -> dict[UUID, Answer]:
    """Perform operations that go whole or not at all; where one does not go through, all are held with its reason."""
    try:
        with transaction.atomic():
            answers: dict[UUID, Answer] = {}
            for sent in sents:
                # What came before in the group may have made the animal that this one is about.
                here = Run(run.device, run.now, resolve(run.outfit, [sent.animal] if sent.animal else []))
                answers |= PERFORM[sent.kind](here, [sent])
                if answers[sent.op_id].status not in {OperationStatus.APPLIED, OperationStatus.MERGED}:
                    raise Withdrawn(answers)
            return answers
    except Withdrawn as problem:
        reasons = [reason for answer in problem.cause.values() for reason in answer.reasons]
        return {sent.op_id: Answer(OperationStatus.HELD, reasons) for sent in sents}


def _forbidden(device: Device, sent: Sent) -> Answer | None:
    if device.role == DeviceRole.READ:
        return refused("This device may read only.")
    if device.state == DeviceState.BLOCKED:
        return refused("This device is blocked.")
    if sent.kind in OFFICE_KINDS and device.role != DeviceRole.OFFICE:
        return refused("This device may not rule on findings.")
    if sent.kind in SIBLING_KINDS and (device.kind != DeviceKind.SIBLING or device.role != DeviceRole.OFFICE):
        return refused("Only another installation may send a changeset.")
    return None


def is_passed_on(outfit: Outfit) -> bool:
    """Whether what devices send here is decided in another installation."""
    return hasattr(outfit, "upstream")


def _answer(
    device: Device,
    one: Sent | Malformed,
    known: dict[UUID | None, Operation],
    stored: dict[UUID, Sent],
    answers: dict[UUID, Answer],
) -> dict[str, Any]:
    """The answer to one operation as it is sent: a new one, the one stored, or that it is kept aside."""
    before = known.get(one.op_id) if one.op_id else None
    if before is not None:
        if before.digest == one.digest:
            return {"op_id": str(one.op_id), **before.answer, "replayed": True}
        return _aside(device, one, "Another operation has that id.", "/op_id")
    if isinstance(one, Malformed):
        return _aside(device, one, one.reason, one.pointer)
    if stored[one.op_id].digest != one.digest:
        return _aside(device, one, "Another operation has that id.", "/op_id")
    return {"op_id": str(one.op_id), **answers[one.op_id].as_dict()}


def _aside(device: Device, one: Sent | Malformed, reason: str, pointer: str) -> dict[str, Any]:
    """Keep what can't be used, once, so that a person can look at it."""
    answer = refused(reason, pointer).as_dict()
    kept = Operation.objects.filter(device=device, digest=one.digest, op_id=None)
    if not kept.exists():
        Operation.objects.create(
            outfit=device.outfit,
            device=device,
            kind=one.kind if isinstance(one, Sent) else "",
            digest=one.digest,
            body=one.body,
            status=OperationStatus.QUARANTINED,
            answer=answer,
            received_at=timezone.now(),
            awaits=is_passed_on(device.outfit),
        )
    return {"op_id": str(one.op_id) if one.op_id else None, **answer}
