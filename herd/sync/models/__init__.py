"""The tables of devices."""

from herd.sync.models.device import Device, DeviceKind, DeviceRole, DeviceState

__all__ = ["Device", "DeviceKind", "DeviceRole", "DeviceState"]
