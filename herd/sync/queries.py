"""What the office asks of devices: how each stands, and what of theirs waits or was kept aside."""

from dataclasses import dataclass, field

from django.db.models import Count

from herd.accounts.models import Outfit
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


def troubled(device: Device, most: int) -> list[Operation]:
    """The device's operations that are not in the record, the latest first."""
    rows = Operation.objects.filter(device=device).exclude(status__in=[OperationStatus.APPLIED, OperationStatus.MERGED])
    return list(rows.order_by("-received_at", "-pk")[:most])
