"""Names this room to Django."""

from django.apps import AppConfig


class ArchiveConfig(AppConfig):
    """Archives, backups and the way back."""

    name = "herd.archive"
    label = "archive"
    verbose_name = "Archives and backups"
