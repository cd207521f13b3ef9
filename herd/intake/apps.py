"""Names this room to Django."""

from django.apps import AppConfig


class IntakeConfig(AppConfig):
    """Field files."""

    name = "herd.intake"
    label = "intake"
    verbose_name = "Field files"
