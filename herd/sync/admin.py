"""Admin pages of devices and of what they sent, to look at only: codes and stops are given in the office."""

from typing import ClassVar

from django.contrib import admin

from herd.accounts.adminscope import OutfitAdmin
from herd.sync.models import Device, Operation


@admin.register(Device)
class DeviceAdmin(OutfitAdmin):
    """Phones, scale PCs, programs and other installations; nothing of their codes and tokens is shown."""

    list_display = ("name", "kind", "role", "state", "enrolled_at", "last_seen")
    list_filter = ("kind", "role", "state")
    search_fields = ("name",)
    fields: ClassVar = ("name", "kind", "role", "state", "groups", "made_at", "enrolled_at", "last_seen")


@admin.register(Operation)
class OperationAdmin(OutfitAdmin):
    """What devices did offline, as it was sent, with the answer it got."""

    list_display = ("received_at", "device", "dseq", "kind", "status", "at_sent", "clock_note")
    list_filter = ("status", "kind")
    list_select_related = ("device",)
    search_fields = ("=op_id", "=subject_id", "device__name")
    fields: ClassVar = (
        *("device", "op_id", "dseq", "kind", "status", "answer", "body"),
        *("at_sent", "happened_at", "clock_note", "received_at"),
    )
