"""What of a carried changeset clashes, turned into operations that are judged like a device's; the rest kept aside."""

import logging
from collections.abc import Sequence
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from herd.ledger.models import Change
from herd.registry.services.replaying.carried import Carried, Clash, Replayed
from herd.sync.keeping import AWAY, kept
from herd.sync.models import Operation, OperationStatus
from herd.sync.performing.run import Run
from herd.sync.performing.translating import Wanted, translate
from herd.sync.performing.verbs import VERBS
from herd.sync.protocol import Answer, Sent
from herd.sync.reading import digest_of, read_operation
from herd.sync.siblings.carrying import lines_of
from herd.sync.subjects import resolve

LOG = logging.getLogger(__name__)


def put_to_a_person(run: Run, sent: Sent, carried: Carried, found: Replayed) -> Answer:
    """Judge what clashes as operations of their own, keep aside what is no such operation, and answer for the whole."""
    wanted, left = translate(run, sent, carried, found.clashes)
    became: dict[str, str] = {}
    for one in wanted:
        answer = _perform(run, one)
        if answer is None:
            left.extend(one.clashes)
        else:
            became[str(one.body["op_id"])] = str(answer.status)
    if left:
        _keep_aside(run, sent, left)
    return _answer(found, became, left)


def _answer(found: Replayed, became: dict[str, str], left: Sequence[Clash]) -> Answer:
    reasons = [{"pointer": "", "detail": said} for said in dict.fromkeys(one.reason for one in found.clashes)]
    if not found.clashes:
        return Answer(OperationStatus.MERGED if found.same else OperationStatus.APPLIED)
    return Answer(OperationStatus.MERGED, reasons, kept={"operations": became, "aside": len(left)})


def _perform(run: Run, wanted: Wanted) -> Answer | None:
    """Perform one operation and keep it with its answer; None where it can't be worked out."""
    read = read_operation(wanted.body, None, timezone.now())
    if not isinstance(read, Sent) or Operation.objects.filter(outfit=run.outfit, op_id=read.op_id).exists():
        return None
    here = Run(run.device, run.now, resolve(run.outfit, [read.animal] if read.animal else []))
    try:
        with transaction.atomic():
            answer = VERBS[read.kind](here, [read])[read.op_id]
            kept(run.device, read, answer).save(force_insert=True)
    except AWAY:
        raise
    except Exception:
        LOG.exception("A part of a changeset of %s could not be worked out.", run.device)
        return None
    return answer


def _keep_aside(run: Run, sent: Sent, left: Sequence[Clash]) -> None:
    """Keep both sides of what no operation says, so that a person sees it among the things kept aside."""
    changes: list[Change] = [one.change for one in left]
    reasons = [{"pointer": f"/changes/{place}", "detail": one.reason} for place, one in enumerate(left)]
    body: dict[str, Any] = {"kind": "changeset", "of": str(sent.op_id), "changes": lines_of(changes)}
    Operation.objects.create(
        outfit=run.outfit,
        device=run.device,
        op_id=left_id(sent.op_id),
        kind=sent.kind,
        digest=digest_of(body),
        body=body,
        status=OperationStatus.QUARANTINED,
        answer={"status": str(OperationStatus.QUARANTINED), "reasons": reasons},
        at_sent=sent.at_sent,
        happened_at=sent.told.at,
        received_at=timezone.now(),
    )


def left_id(changeset: UUID) -> UUID:
    """The id under which what is left of a changeset is kept aside."""
    return uuid5(changeset, "left")
