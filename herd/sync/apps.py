"""Names this room to Django."""

from django.apps import AppConfig


class SyncConfig(AppConfig):
    """Devices and sync."""

    name = "herd.sync"
    label = "sync"
    verbose_name = "Devices and sync"
