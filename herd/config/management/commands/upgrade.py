"""Brings the installation up to date without serving it, for servers where other programs serve."""

from typing import Any

from django.core.management.base import BaseCommand

from herd.config.upgrade import bring_up_to_date


class Command(BaseCommand):
    """Migrates the database and collects the static files; safe while others serve, and at any time."""

    help = "Bring the database and the static files up to date."
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> None:
        bring_up_to_date(self.stdout.write)
        self.stdout.write("The installation is up to date.")
