"""An enrolled device: a phone, a scale PC, a sibling installation."""

from typing import ClassVar

from django.db import models

from herd.accounts.models import Outfit, Person
from herd.values.identity import new_id


class DeviceKind(models.TextChoices):
    """Kinds of device."""

    PHONE = "phone", "phone or tablet"
    SCALE = "scale", "scale PC"
    SIBLING = "sibling", "other installation of ours"
    PROGRAM = "program", "other program"


class DeviceRole(models.TextChoices):
    """What a device may do."""

    READ = "read", "read"
    CAPTURE = "capture", "read, and record what happens at the chute"
    OFFICE = "office", "all that the office may do"


class DeviceState(models.TextChoices):
    """How a device stands: one that is retired may still deliver, one that is blocked may nothing."""

    WAITING = "waiting", "waiting for its code"
    ACTIVE = "active", "active"
    RETIRED = "retired", "retired"
    BLOCKED = "blocked", "blocked"


class Device(models.Model):
    """One device of one outfit.

    The one-time code and the token are kept as SHA-256 in hexadecimal digits, never as they are. `groups` holds
    the ids of the groups whose animals it may read, all of the outfit's where it is empty.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    outfit = models.ForeignKey(Outfit, on_delete=models.PROTECT, related_name="devices")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=8, choices=DeviceKind.choices, default=DeviceKind.PHONE)
    role = models.CharField(max_length=8, choices=DeviceRole.choices, default=DeviceRole.CAPTURE)
    groups = models.JSONField(default=list)
    state = models.CharField(max_length=8, choices=DeviceState.choices, default=DeviceState.WAITING)
    code_hash = models.CharField(max_length=64, blank=True, default="")
    code_until = models.DateTimeField(null=True)
    token_hash = models.CharField(max_length=64, blank=True, default="")
    made_by = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    enrolled_at = models.DateTimeField(null=True)
    last_seen = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["token_hash"], condition=~models.Q(token_hash=""), name="one_device_per_token"
            ),
            models.UniqueConstraint(
                fields=["code_hash"], condition=~models.Q(code_hash=""), name="one_device_per_code"
            ),
        ]

    def __str__(self) -> str:
        return self.name
