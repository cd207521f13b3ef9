"""How an operation is kept: as it was sent, with its answer."""

from django.db import InterfaceError, OperationalError
from django.utils import timezone

from herd.sync.models import Device, Operation
from herd.sync.protocol import Answer, Sent

# The database is away or too busy: nothing was said, and the device tries again.
AWAY = (OperationalError, InterfaceError)


def kept(device: Device, sent: Sent, answer: Answer, *, awaits: bool = False) -> Operation:
    """The row of an operation, not written yet; `awaits` where it is decided in another installation."""
    return Operation(
        outfit=device.outfit,
        device=device,
        op_id=sent.op_id,
        dseq=sent.dseq,
        kind=sent.kind,
        digest=sent.digest,
        body=sent.body,
        status=answer.status,
        answer=answer.as_dict(),
        row_id=answer.row,
        subject_id=sent.animal,
        at_sent=sent.at_sent,
        happened_at=sent.told.at,
        clock_note=sent.told.note,
        received_at=timezone.now(),
        awaits=awaits,
    )
