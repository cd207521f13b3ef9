"""Writes one outfit into one open file."""

import argparse
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from herd.accounts.models import Outfit
from herd.archive.backups import write_archive
from herd.archive.refused import ArchiveRefused


class Command(BaseCommand):
    """Write an outfit's whole record, its history and its field files as an archive that restore reads."""

    help = __doc__
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the outfit and the file."""
        parser.add_argument("--outfit", required=True, help="The outfit's code.")
        parser.add_argument("--to", required=True, type=Path, help="The file to write; it must not be there yet.")
        parser.add_argument(
            "--with-passwords",
            action="store_true",
            help="Keep the people's scrambled passwords, to move the outfit to another machine of yours.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it, or nothing."""
        outfit = Outfit.objects.filter(code=options["outfit"]).first()
        if outfit is None:
            raise CommandError(f"There is no outfit with the code {options['outfit']!r}.")
        try:
            contents = write_archive(options["to"], outfit, with_passwords=options["with_passwords"], say=self.say)
        except ArchiveRefused as refused:
            raise CommandError(str(refused)) from refused
        self.say(
            f"{outfit.name} is in {options['to']}: {contents.rows} rows, {len(contents.files)} field files, verified."
        )

    def say(self, sentence: str) -> None:
        """Print at once, also into a file or pipe."""
        self.stdout.write(sentence)
        self.stdout.flush()
