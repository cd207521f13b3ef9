"""Names this room to Django."""

from django.apps import AppConfig

from herd.config.celery import app as celery_app

# Named here so that every process that loads Django sends its tasks over the broker of the settings.
__all__ = ["ConfigConfig", "celery_app"]


class ConfigConfig(AppConfig):
    """Installation."""

    name = "herd.config"
    label = "installation"
    verbose_name = "Installation"
