"""The outfit's own day, which may differ from the server's."""

from datetime import date

from django.utils import timezone

from herd.accounts.models import Outfit


def today_of(outfit: Outfit) -> date:
    """Return today in the outfit's time zone."""
    return timezone.now().astimezone(outfit.zone).date()
