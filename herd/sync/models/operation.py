"""What a device did offline, kept as it was sent, with the answer it got."""

import json
from typing import ClassVar

from django.db import models

from herd.accounts.models import Outfit
from herd.sync.models.device import Device
from herd.values.identity import new_id


class OperationStatus(models.TextChoices):
    """What became of an operation; each is final for the device, which may forget it then."""

    APPLIED = "applied", "in the record"
    MERGED = "merged", "in the record, beside what others wrote"
    REVIEW = "review", "waits for a person"
    HELD = "held", "waits for what it depends on"
    QUARANTINED = "quarantined", "kept aside, not used"


class Operation(models.Model):
    """One operation of a device.

    `op_id` is the device's own; `digest` is the SHA-256 of its content, so that the same id with other content
    is told apart from the same thing sent again. `body` is the operation as sent and `answer` what was answered.
    `at_sent` is the field clock as it was, `happened_at` what we make of it, `clock_note` what is doubtful there.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="+")
    device = models.ForeignKey(Device, on_delete=models.PROTECT, related_name="operations")
    op_id = models.UUIDField(null=True)
    dseq = models.BigIntegerField(default=0)
    kind = models.CharField(max_length=20, blank=True, default="")
    digest = models.CharField(max_length=64)
    body = models.JSONField(null=True)
    status = models.CharField(max_length=12, choices=OperationStatus.choices)
    answer = models.JSONField(default=dict)
    row_id = models.UUIDField(null=True, db_index=True, help_text="The staged row on which a person decides it.")
    subject_id = models.UUIDField(null=True, db_index=True, help_text="The animal's id as the device knows it.")
    at_sent = models.CharField(max_length=40, blank=True, default="")
    happened_at = models.DateTimeField(null=True)
    clock_note = models.CharField(max_length=120, blank=True, default="")
    received_at = models.DateTimeField()
    awaits = models.BooleanField(
        default=False, help_text="It is still to be passed on to the installation where the record is decided."
    )

    class Meta:
        ordering: ClassVar = ["received_at", "id"]
        indexes: ClassVar = [
            models.Index(fields=["outfit", "status"], name="operation_by_status"),
            models.Index(fields=["outfit"], condition=models.Q(awaits=True), name="operation_to_pass_on"),
        ]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["outfit", "op_id"], condition=models.Q(op_id__isnull=False), name="an_operation_comes_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.op_id}"

    @property
    def as_sent(self) -> str:
        """The operation as JSON, as a person may read or keep it."""
        return json.dumps(self.body, ensure_ascii=False)
