"""What the office asks of devices: how each stands, and what of theirs waits or was kept aside."""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import Count, Q

from herd.accounts.models import Outfit
from herd.intake.models import DayState, ProcessingDay
from herd.sync.models import Device, Operation, OperationStatus

WAITING = (OperationStatus.REVIEW, OperationStatus.HELD)


@dataclass(slots=True)
class DeviceCount:
    """A device with how many of its operations ended how."""

    device: Device
    by_status: dict[str, int] = field(default_factory=dict)

    @property
    def waiting(self) -> int:
        """How many wait for a person or for what they depend on."""
        return sum(self.by_status.get(status, 0) for status in WAITING)

    @property
    def aside(self) -> int:
        """How many were kept aside."""
        return self.by_status.get(OperationStatus.QUARANTINED, 0)

    @property
    def delivered(self) -> int:
        """How many it has sent in all."""
        return sum(self.by_status.values())


def count_devices(outfit: Outfit) -> list[DeviceCount]:
    """The outfit's devices with their counts, in two queries."""
    found = {one.pk: DeviceCount(one) for one in Device.objects.filter(outfit=outfit)}
    rows = Operation.objects.filter(outfit=outfit).values_list("device_id", "status").order_by()
    for device, status, count in rows.annotate(count=Count("pk")):
        found[device].by_status[status] = count
    return list(found.values())


@dataclass(frozen=True, slots=True)
class Waiting:
    """What of a device's work waits for a person: how many findings on how many days, and the first of these."""

    device: Device
    findings: int
    days: int
    first: ProcessingDay


def waiting_of(outfit: Outfit) -> list[Waiting]:
    """The devices of which something waits for a person, each once however many days it is about; two queries."""
    days: dict[UUID | None, list[Any]] = defaultdict(list)
    rows = ProcessingDay.objects.filter(outfit=outfit, device_id__isnull=False).exclude(state=DayState.APPLIED)
    counted = rows.annotate(open=Count("findings", filter=Q(findings__is_open=True))).filter(open__gt=0)
    for day in counted.order_by("worked_on", "made_at"):
        days[day.device_id].append(day)
    devices = Device.objects.filter(outfit=outfit, pk__in=list(days))
    return [Waiting(one, sum(day.open for day in days[one.pk]), len(days[one.pk]), days[one.pk][0]) for one in devices]


def days_of(device: Device, most: int) -> list[ProcessingDay]:
    """The days on which something that a device sent was put to a person, the latest first, with `open` findings."""
    rows = ProcessingDay.objects.filter(outfit=device.outfit_id, device_id=device.pk)
    counted = rows.annotate(open=Count("findings", filter=Q(findings__is_open=True)))
    return list(counted.order_by("-worked_on", "-made_at")[:most])


def troubled(device: Device, most: int) -> list[Operation]:
    """The device's operations that are not in the record, the latest first."""
    rows = Operation.objects.filter(device=device).exclude(status__in=[OperationStatus.APPLIED, OperationStatus.MERGED])
    return list(rows.order_by("-received_at", "-pk")[:most])
