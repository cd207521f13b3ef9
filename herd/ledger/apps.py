"""Names this room to Django."""

from django.apps import AppConfig


class LedgerConfig(AppConfig):
    """The ledger of changes."""

    name = "herd.ledger"
    label = "ledger"
    verbose_name = "The ledger of changes"
