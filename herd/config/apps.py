"""Names this room to Django."""

from django.apps import AppConfig
from django.contrib.admin import apps as admin_apps

from herd.config.celery import app as celery_app

# Named here so that every process that loads Django sends its tasks over the broker of the settings.
__all__ = ["ConfigConfig", "OutfitAdminConfig", "celery_app"]


class ConfigConfig(AppConfig):
    """Installation."""

    default = True
    name = "herd.config"
    label = "installation"
    verbose_name = "Installation"


class OutfitAdminConfig(admin_apps.AdminConfig):
    """Django's admin on our own site."""

    default = False
    default_site = "herd.config.admin.OutfitAdminSite"
