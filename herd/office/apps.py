"""Names this room to Django."""

from django.apps import AppConfig


class OfficeConfig(AppConfig):
    """The ranch office site."""

    name = "herd.office"
    label = "office"
    verbose_name = "The ranch office site"
