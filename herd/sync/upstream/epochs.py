"""The other installation was put back to an earlier state: what it lacks of ours is sent again, all is compared."""

import json
from typing import Any
from uuid import UUID

from django.db import transaction

from herd.client.faults import Offline, Refused
from herd.client.wire import Wire
from herd.ledger.models import Changeset
from herd.ledger.rows import in_steps
from herd.sync.models import Operation, OperationStatus, Receipt, Upstream
from herd.sync.upstream.outbox import pack

OTHER = "What answers there keeps the record of another outfit; the address or the code is wrong."


class NewEpoch(Exception):  # noqa: N818
    """The other installation's feed began anew; what it said in another epoch does not count."""


def check_epoch(upstream: Upstream, answer: dict[str, Any]) -> None:
    """Raise NewEpoch where an answer is of another epoch than the one that we follow."""
    if "epoch" not in answer:
        raise Offline("The other installation's answer does not fit what was asked.")
    if str(answer["epoch"]) != str(upstream.epoch):
        raise NewEpoch


def ask_what_is_known(upstream: Upstream, wire: Wire) -> None:
    """Take no answer of an earlier epoch for granted: ask for each, and put back what is lacking into the outbox.

    The new epoch is kept at the end, with the word that all of the record is to be compared.
    """
    told = wire.get("sync/info/")
    if str(told.get("outfit")) != str(upstream.outfit_id):
        raise Refused(OTHER, 409, {})
    epoch = UUID(str(told["epoch"]))
    doubtful = Receipt.objects.filter(outfit=upstream.outfit).exclude(epoch=epoch).exclude(status="")
    for ids in in_steps(list(doubtful.values_list("op_id", flat=True))):
        answer = wire.post("sync/known/", json.dumps({"op_ids": [str(one) for one in ids]}).encode())
        if UUID(str(answer.get("epoch"))) != epoch:
            raise NewEpoch
        known = {UUID(str(one["op_id"])): one for one in answer["known"]}
        with transaction.atomic():
            for receipt in doubtful.filter(op_id__in=ids):
                _take(upstream, receipt, known.get(receipt.op_id), epoch)
    with transaction.atomic():
        upstream.epoch, upstream.cursor, upstream.takes_anew, upstream.kept = epoch, 0, True, {}
        upstream.save(update_fields=["epoch", "cursor", "takes_anew", "kept"])


def _take(upstream: Upstream, receipt: Receipt, known: dict[str, Any] | None, epoch: UUID) -> None:
    receipt.epoch = epoch
    if known is not None:
        receipt.status = str(known["status"])
    elif receipt.is_changeset:
        receipt.status = ""
        receipt.body = receipt.body or _packed_anew(upstream, receipt)
    else:
        Operation.objects.filter(outfit=upstream.outfit, op_id=receipt.op_id).update(awaits=True)
        Operation.objects.filter(outfit=upstream.outfit, pk=receipt.op_id, op_id=None).update(awaits=True)
    if receipt.is_changeset and receipt.status == "" and receipt.body is None:
        # Nothing of it is in our record any more, so that there is nothing to send.
        receipt.status = OperationStatus.MERGED
    receipt.save(update_fields=["status", "epoch", "body"])


def _packed_anew(upstream: Upstream, receipt: Receipt) -> Any:
    one = Changeset.objects.filter(outfit=upstream.outfit, pk=receipt.op_id).first()
    return pack(upstream, one).body if one is not None else None
