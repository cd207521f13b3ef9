"""Asks again what has become of operations that wait in the other installation."""

import json
from uuid import UUID

from django.db import transaction

from herd.client.wire import Wire
from herd.sync.models import Operation, OperationStatus, Receipt, Upstream
from herd.sync.upstream.epochs import check_epoch

WAITS = (OperationStatus.HELD, OperationStatus.REVIEW)
MOST_ASKED = 1_000


def ask_again(upstream: Upstream, wire: Wire) -> None:
    """Learn what became of the latest operations that wait for a person or for what they depend on."""
    waiting = Receipt.objects.filter(outfit=upstream.outfit, status__in=WAITS).order_by("-written_at", "-pk")
    receipts = {one.op_id: one for one in waiting[:MOST_ASKED]}
    if not receipts:
        return
    answer = wire.post("sync/known/", json.dumps({"op_ids": [str(one) for one in receipts]}).encode())
    check_epoch(upstream, answer)
    with transaction.atomic():
        for said in answer["known"]:
            receipt = receipts[UUID(str(said["op_id"]))]
            if said["status"] != receipt.status:
                told = {name: value for name, value in said.items() if name != "op_id"}
                receipt.status, receipt.answer = str(said["status"]), told
                receipt.save(update_fields=["status", "answer"])
                rows = Operation.objects.filter(outfit=upstream.outfit, op_id=receipt.op_id)
                rows.update(status=receipt.status, answer=told)
