"""The tables of devices and of what they send, and of the installation with which this one is kept in step."""

from herd.sync.models.device import Device, DeviceKind, DeviceRole, DeviceState
from herd.sync.models.operation import Operation, OperationStatus
from herd.sync.models.upstream import Alias, Receipt, Upstream

__all__ = [
    "Alias",
    "Device",
    "DeviceKind",
    "DeviceRole",
    "DeviceState",
    "Operation",
    "OperationStatus",
    "Receipt",
    "Upstream",
]
