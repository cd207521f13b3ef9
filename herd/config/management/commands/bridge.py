"""Runs the scale PC bridge; it needs the configuration file and no database."""

import argparse
import sys
from typing import Any

from django.core.management.base import BaseCommand

from herd.bridge.commands import add_arguments, work


class Command(BaseCommand):
    """Hears a reader and a scale, joins number and weight, keeps and delivers them, until Ctrl-C."""

    help = "Hear a reader and a scale on this machine's ports; join, keep and deliver what they say, until Ctrl-C."
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        add_arguments(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        code = work(argparse.Namespace(**options))
        if code:
            sys.exit(code)
