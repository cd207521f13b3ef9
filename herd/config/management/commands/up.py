"""Serves the installation on this machine."""

import argparse
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from herd.accounts.models import Outfit
from herd.config.lan import LanPorts
from herd.config.serving import Site, serve
from herd.config.upgrade import bring_up_to_date


class Command(BaseCommand):
    """Brings the database up to date, then serves the site with a worker beside it until Ctrl-C."""

    help = "Bring the database up to date and serve the site with its worker until Ctrl-C."
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        add_site_arguments(parser)
        parser.add_argument("--worker", action="store_true", help="Start a worker with any broker.")
        parser.add_argument("--lan", action="store_true", help="Serve phones on this network too, over HTTPS.")
        parser.add_argument("--lan-port", type=port_number, default=8443, help="First port to try for that (8443).")
        parser.add_argument(
            "--trust-port", type=port_number, default=8080, help="First port to try for the page about trust (8080)."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        bring_up_to_date(self.say)
        has_own_broker = settings.CELERY_BROKER_URL.startswith("filesystem")
        with_worker = has_own_broker or options["worker"]
        if not with_worker:
            self.say(
                "NOTCHBOOK_BROKER_URL is set, so workers are run separately: "
                "python -m celery -A herd.config.celery worker (or give --worker here)."
            )
        if not Outfit.objects.exists():
            self.say(
                'There is no outfit yet. Make one with: manage.py outfit CODE --name "NAME" --owner USERNAME '
                "(or look around first with manage.py demo)."
            )
        lan = LanPorts(options["lan_port"], options["trust_port"]) if options["lan"] else None
        serve(Site(options["host"], options["port"], options["browser"], with_worker, lan), self.say)

    def say(self, sentence: str) -> None:
        """Print at once, also into a file or pipe."""
        self.stdout.write(sentence)
        self.stdout.flush()


def port_number(text: str) -> int:
    """Read a port, 0 to 65535 where 0 is any free one; raises ArgumentTypeError."""
    if text.isascii() and text.isdigit() and int(text) <= 65535:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a port; write a number from 0 to 65535.")


def add_site_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `up` and `demo` share: --host, --port, --no-browser."""
    parser.add_argument("--host", default="127.0.0.1", help="Address to serve on (127.0.0.1).")
    parser.add_argument("--port", type=port_number, default=8000, help="First port to try (8000).")
    parser.add_argument("--no-browser", dest="browser", action="store_false", help="Open no browser.")
