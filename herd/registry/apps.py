"""Names this room to Django."""

from django.apps import AppConfig


class RegistryConfig(AppConfig):
    """The herd record."""

    name = "herd.registry"
    label = "registry"
    verbose_name = "The herd record"
