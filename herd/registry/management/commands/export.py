"""Prints an outfit's record in the stable form of herd.registry.queries.export."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herd.accounts.models import Outfit
from herd.registry.queries.export import export_outfit


class Command(BaseCommand):
    """Print the record: one JSON value a line, or one array with --json."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Declare the outfit and the form."""
        parser.add_argument("--outfit", required=True, help="the outfit's code")
        parser.add_argument("--json", action="store_true", help="one JSON array instead of one value a line")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print item by item, so that a large herd needs little memory."""
        outfit = Outfit.objects.filter(code=options["outfit"]).first()
        if outfit is None:
            raise CommandError(f"There is no outfit with the code {options['outfit']!r}.")
        as_array = options["json"]
        for number, item in enumerate(export_outfit(outfit)):
            line = json.dumps(item, sort_keys=True, ensure_ascii=False)
            self.stdout.write(("[" if number == 0 else ",") + line if as_array else line)
        if as_array:
            self.stdout.write("]")
