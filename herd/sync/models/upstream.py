"""The other installation with which this one keeps an outfit's record in step, and what it has answered."""

from datetime import datetime
from typing import Any, ClassVar, Self
from uuid import UUID

from django.db import models

from herd.accounts.models import Outfit
from herd.sync.models.device import Device
from herd.values.identity import new_id


class Upstream(models.Model):
    """Where the record of an outfit is decided, for an installation that is not that place itself.

    `token` is kept as it is, since it is what opens the other installation. `epoch` and `cursor` are of the other's
    feed: all up to `cursor` is here. `settled_to` is the position of our own feed up to which both records are the
    same: what lies behind it was written here and is still on its way. `problem` is why the last try ended, in a
    sentence; empty where it went well.
    """

    outfit = models.OneToOneField(Outfit, on_delete=models.PROTECT, primary_key=True, related_name="upstream")
    url = models.CharField(max_length=300)
    token = models.CharField(max_length=100, blank=True, default="")
    device_id = models.UUIDField()
    name = models.CharField(max_length=60)
    epoch = models.UUIDField()
    cursor = models.BigIntegerField(default=0)
    settled_to = models.BigIntegerField(default=0)
    kept = models.JSONField(
        default=dict, help_text="What was said by each standing rule and recipe, as a digest, when both were the same."
    )
    takes_anew = models.BooleanField(default=False, help_text="All of the record is compared at the next pull.")
    tried_at = models.DateTimeField(null=True)
    synced_at = models.DateTimeField(null=True)
    is_refused = models.BooleanField(default=False, help_text="The last try was refused, and waiting will not help.")
    problem = models.CharField(max_length=300, blank=True, default="")

    def __str__(self) -> str:
        return f"{self.outfit_id} with {self.url}"


class Receipt(models.Model):
    """What the other installation has answered to an operation or a changeset of ours, in which epoch of its feed.

    `status` is empty while a changeset is still to be sent, or to be sent again; `body` is what is sent of it. It is
    kept where the other did not take it as it was, for the case that it is put back to an earlier state.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+")
    op_id = models.UUIDField()
    epoch = models.UUIDField()
    status = models.CharField(max_length=12, blank=True, default="")
    answer = models.JSONField(default=dict)
    body = models.JSONField(null=True)
    is_changeset = models.BooleanField(default=False)
    written_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["written_at", "id"]
        indexes: ClassVar = [models.Index(fields=["outfit", "status"], name="receipt_by_status")]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "op_id"], name="one_receipt_per_operation")
        ]

    def __str__(self) -> str:
        return f"{self.op_id}: {self.status}"

    @classmethod
    def to_send(cls, upstream: Upstream, op_id: UUID, body: dict[str, Any], written_at: datetime) -> Self:
        """What was done in our own record, packed to be sent; not written yet."""
        return cls(
            outfit=upstream.outfit,
            op_id=op_id,
            epoch=upstream.epoch,
            body=body,
            is_changeset=True,
            written_at=written_at,
        )


class Alias(models.Model):
    """An id that another installation made for a row which was here already under our own."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="+")
    theirs = models.UUIDField()
    ours = models.UUIDField()

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["outfit", "theirs"], name="an_id_stands_for_one_row")
        ]

    def __str__(self) -> str:
        return f"{self.theirs} is {self.ours}"
