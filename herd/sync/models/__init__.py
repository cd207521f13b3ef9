"""The tables of devices and of what they send."""

from herd.sync.models.device import Device, DeviceKind, DeviceRole, DeviceState
from herd.sync.models.operation import Operation, OperationStatus

__all__ = ["Device", "DeviceKind", "DeviceRole", "DeviceState", "Operation", "OperationStatus"]
