"""Serves an invented outfit to look around in."""

import argparse
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from herd.config.demo import load
from herd.config.management.commands.up import add_site_arguments
from herd.config.serving import Site, serve
from herd.config.upgrade import bring_up_to_date, one_at_a_time


class Command(BaseCommand):
    """Loads the invented outfit into a database of its own, then serves it; run twice it doubles nothing."""

    help = "Load an invented outfit into a database of its own and serve it until Ctrl-C."
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        add_site_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.VAR_DIR.name != "demo":
            raise CommandError("The demo runs only on its own database; start it with manage.py demo.")
        if settings.PRODUCTION:
            raise CommandError("The demo has a password that everyone knows, so there is none in production.")
        bring_up_to_date(self.say)
        with one_at_a_time(self.say):
            sign_in = load(self.say)
        self.say(f"Outfit {sign_in.outfit_code}: sign in as {sign_in.username}, password {sign_in.password}")
        serve(Site(options["host"], options["port"], options["browser"], with_worker=True), self.say)

    def say(self, sentence: str) -> None:
        """Print at once, also into a file or pipe."""
        self.stdout.write(sentence)
        self.stdout.flush()
