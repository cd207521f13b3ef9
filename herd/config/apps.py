"""Names this room to Django."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Installation."""

    name = "herd.config"
    label = "installation"
    verbose_name = "Installation"
