"""Names this room to Django."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Outfits and people."""

    name = "herd.accounts"
    label = "accounts"
    verbose_name = "Outfits and people"
