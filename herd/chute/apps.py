"""Names this room to Django."""

from django.apps import AppConfig


class ChuteConfig(AppConfig):
    """The page at the chute."""

    name = "herd.chute"
    label = "chute"
    verbose_name = "The page at the chute"
