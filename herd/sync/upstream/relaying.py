"""What a device is told that delivers to an installation which follows another: not final before the other's word."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.sync.models import Receipt, Upstream

# Stored here and on its way; the device keeps the operation and asks again.
RELAYED = "relayed"


def as_relayed(outfit: Outfit, answers: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Answers as the devices are told: those of the other installation in its present epoch, else that it is relayed.

    Where the record is decided here, they are final as they are.
    """
    listed = list(answers)
    upstream = Upstream.objects.filter(outfit=outfit).first()
    if upstream is None:
        return listed
    ids = [one["op_id"] for one in listed if one.get("op_id")]
    receipts = Receipt.objects.filter(outfit=outfit, op_id__in=ids, epoch=upstream.epoch).exclude(status="")
    told = {one.op_id: one for one in receipts}
    return [_told(one, told) for one in listed]


def _told(answer: dict[str, Any], receipts: dict[UUID, Receipt]) -> dict[str, Any]:
    # What came under the id of another operation is that one's no more than here.
    reasons = answer.get("reasons") or [{}]
    if not answer.get("op_id") or reasons[0].get("pointer") == "/op_id":
        return answer
    receipt = receipts.get(UUID(str(answer["op_id"])))
    if receipt is not None:
        replayed = {"replayed": True} if answer.get("replayed") else {}
        return {"op_id": answer["op_id"], **receipt.answer, "status": receipt.status, **replayed}
    return {**answer, "status": RELAYED}
