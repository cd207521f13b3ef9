"""Prints an outfit's record in the stable form of herd.registry.queries.export."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from herd.accounts.models import Outfit
from herd.registry.queries.export import export_animals, outfit_head


class Command(BaseCommand):
    """Print the record: one JSON value a line, or one document with --json."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Declare the outfit and the form."""
        parser.add_argument("--outfit", required=True, help="the outfit's code")
        parser.add_argument(
            "--json", action="store_true", help="one JSON document instead of one value a line"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print item by item, so that a large herd needs little memory."""
        outfit = Outfit.objects.filter(code=options["outfit"]).first()
        if outfit is None:
            raise CommandError(f"There is no outfit with the code {options['outfit']!r}.")
        head = outfit_head(outfit)
        if not options["json"]:
            self.stdout.write(_line(head))
            for item in export_animals(outfit):
                self.stdout.write(_line(item))
            return
        self.stdout.write(_line(head)[:-1] + ', "animals": [', ending="")
        for number, item in enumerate(export_animals(outfit)):
            self.stdout.write((",\n" if number else "\n") + _line(item), ending="")
        self.stdout.write("\n]}")


def _line(item: dict[str, Any]) -> str:
    return json.dumps(item, sort_keys=True, ensure_ascii=False)
