"""Sends what is due, in order and in portions under the limits; each answer is kept before the next portion goes."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db import transaction

from herd.client.faults import Offline
from herd.client.wire import Wire
from herd.sync.models import Device, Operation, OperationStatus, Receipt, Upstream
from herd.sync.performing.changesets import part_id
from herd.sync.protocol import MOST_BYTES, MOST_OPERATIONS, SCHEMA
from herd.sync.pushing import group_of_body
from herd.sync.upstream.days import note_sent_rulings, pack_rulings
from herd.sync.upstream.epochs import check_epoch
from herd.sync.upstream.outbox import Due, due, pack_changesets

# Room for what stands around the operations.
MOST = MOST_BYTES - 16 * 1024
MOST_IN_PART = MOST // 2


@dataclass(slots=True)
class Portion:
    """Things of one sort that go in one call, or that go whole or not at all."""

    is_changesets: bool
    things: list[Due] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)

    @property
    def size(self) -> int:
        """Characters."""
        return sum(map(len, self.texts))

    def takes(self, other: "Portion") -> bool:
        """Take another portion in, where there is room for it."""
        is_same = self.is_changesets is other.is_changesets
        if self.texts and not is_same:
            return False
        if self.texts and (self.size + other.size > MOST or len(self.texts) + len(other.texts) > MOST_OPERATIONS):
            return False
        self.is_changesets = other.is_changesets
        self.things += other.things
        self.texts += other.texts
        return True


def send_all(upstream: Upstream, wire: Wire) -> int:
    """Send all that is due and return how many were answered; raises Offline, Refused, Blocked."""
    pack_changesets(upstream)
    pack_rulings(upstream)
    count = 0
    for portion in _portions(upstream):
        _send(upstream, wire, portion)
        count += len(portion.things)
    return count


def _portions(upstream: Upstream) -> Iterator[Portion]:
    portion = Portion(is_changesets=True)
    for unit in _units(upstream):
        if not portion.takes(unit):
            yield portion
            portion = unit
    if portion.texts:
        yield portion


def _units(upstream: Upstream) -> Iterator[Portion]:
    """What may not be parted: the operations of a group, and each part of a changeset by itself."""
    unit, group = Portion(is_changesets=False), ""
    for one in due(upstream):
        own = group_of_body(one.operation.body) if one.operation else ""
        if unit.texts and not (own and own == group):
            yield unit
            unit = Portion(is_changesets=False)
        group = own
        if one.operation is not None:
            unit.things.append(one)
            unit.texts.append(_relayed(one.operation))
        elif one.receipt is not None:
            *first, last = [_text(body) for body in _parts(one.receipt)]
            yield from (Portion(is_changesets=True, texts=[text]) for text in first)
            yield Portion(is_changesets=True, things=[one], texts=[last])
    if unit.texts:
        yield unit


def _relayed(operation: Operation) -> str:
    said = {
        "device": str(operation.device_id),
        "body": operation.body,
        "happened_at": operation.happened_at.isoformat() if operation.happened_at else None,
        "clock_note": operation.clock_note,
    }
    return _text(said)


def _parts(receipt: Receipt) -> list[dict[str, Any]]:
    """The operations that carry a changeset, the one with its own id last."""
    body: dict[str, Any] = receipt.body or {}
    if "op_id" in body:
        return [body]
    lots: list[list[Any]] = [[]]
    size = 0
    for change in body.get("changes", []):
        length = len(_text(change))
        if lots[-1] and size + length > MOST_IN_PART:
            lots.append([])
            size = 0
        lots[-1].append(change)
        size += length
    at = body.get("recorded_at")
    found = []
    for number, lot in enumerate(lots, 1):
        is_last = number == len(lots)
        data = {**(body if is_last else {}), "changes": lot, "part": number, "parts": len(lots)}
        key = receipt.op_id if is_last else part_id(receipt.op_id, number)
        found.append({"op_id": str(key), "dseq": 0, "kind": "changeset", "at": at, "data": data})
    return found


def _text(value: Any) -> str:
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def _send(upstream: Upstream, wire: Wire, portion: Portion) -> None:
    operations = ",".join(portion.texts)
    if portion.is_changesets:
        answer = wire.post("sync/push/", f'{{"schema":{SCHEMA},"ops":[{operations}]}}'.encode())
    else:
        devices = _text(_devices({one.operation.device_id for one in portion.things if one.operation}))
        answer = wire.post("sync/relay/", f'{{"devices":{devices},"ops":[{operations}]}}'.encode())
    results = answer.get("results")
    if not isinstance(results, list) or len(results) != len(portion.texts):
        raise Offline("The other installation's answer does not fit what was sent.")
    check_epoch(upstream, answer)
    _keep(upstream, portion, results)


def _devices(ids: set[UUID]) -> list[dict[str, str]]:
    rows = Device.objects.filter(pk__in=ids).order_by("pk")
    return [{"id": str(one.pk), "name": one.name, "kind": one.kind, "role": one.role} for one in rows]


def _keep(upstream: Upstream, portion: Portion, results: Sequence[dict[str, Any]]) -> None:
    """Keep the answers: what was answered is not sent again in this epoch."""
    told = {str(one.get("op_id")): one for one in results}
    with transaction.atomic():
        for place, one in enumerate(portion.things):
            if one.receipt is not None:
                keep_answer(upstream, one.receipt, told[str(one.receipt.op_id)])
            elif one.operation is not None:
                keep_receipt(upstream, one.operation, results[place])
        note_sent_rulings(one.receipt for one in portion.things if one.receipt)


def keep_answer(upstream: Upstream, receipt: Receipt, answer: dict[str, Any]) -> None:
    """Keep what was answered to a changeset or a ruling.

    A changeset can be packed again from the ledger; a ruling is nowhere else, once the day's copy is renewed.
    """
    receipt.status, receipt.epoch, receipt.answer = str(answer["status"]), upstream.epoch, plain_answer(answer)
    if receipt.status == OperationStatus.APPLIED and "op_id" not in (receipt.body or {}):
        receipt.body = None
    receipt.save(update_fields=["status", "epoch", "answer", "body"])


def keep_receipt(upstream: Upstream, operation: Operation, answer: dict[str, Any]) -> None:
    """Keep what was answered to an operation of a device; it is what the device is told from now on."""
    status = OperationStatus(str(answer["status"]))
    said = plain_answer(answer)
    Receipt.objects.update_or_create(
        outfit=upstream.outfit,
        op_id=operation.op_id or operation.pk,
        defaults={
            "epoch": upstream.epoch,
            "status": status,
            "answer": said,
            "written_at": operation.received_at,
        },
    )
    operation.status, operation.answer, operation.awaits = status, said, False
    operation.save(update_fields=["status", "answer", "awaits"])


def plain_answer(answer: dict[str, Any]) -> dict[str, Any]:
    """An answer without what is about this one call."""
    return {name: value for name, value in answer.items() if name not in {"op_id", "replayed"}}
