"""Names this room to Django."""

from django.apps import AppConfig


class ExchangeConfig(AppConfig):
    """The open exchange standard in and out."""

    name = "herd.exchange"
    label = "exchange"
    verbose_name = "Open exchange"
