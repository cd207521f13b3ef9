"""Brings an archive or a backup back into this installation."""

import argparse
import io
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from herd.archive.refused import ArchiveRefused
from herd.archive.restoring import Restored, restore
from herd.archive.schema import is_behind, is_fresh
from herd.archive.unpacking import open_archive


class Command(BaseCommand):
    """Verify an archive, then load all of it or nothing; outfits that are here already are never touched."""

    help = __doc__
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the file and what to do about user names that are taken."""
        parser.add_argument("file", type=Path, help="The archive or backup.")
        parser.add_argument(
            "--rename-people",
            action="store_true",
            help="Let someone whose user name is another person's here come in as name.outfit.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Restore and say what came in."""
        try:
            with open_archive(options["file"]) as archive:
                self.prepare()
                restored = restore(archive, rename_people=options["rename_people"], say=self.say)
        except ArchiveRefused as refused:
            raise CommandError(f"{refused} Nothing was changed.") from refused
        for sentence in told(restored):
            self.say(sentence)
        self.recompute()

    def prepare(self) -> None:
        """Make the tables where there are none; raises CommandError for a database of an earlier program."""
        if is_fresh():
            self.say("Making the tables of a new installation.")
            call_command("migrate", interactive=False, verbosity=0)
        elif is_behind():
            raise CommandError("This installation is of an earlier program; run manage.py migrate first.")

    def recompute(self) -> None:
        """Recompute the record as it stands now; what differs differed before, so it is told and kept."""
        said = io.StringIO()
        try:
            call_command("check_record", stdout=said)
        except SystemExit:
            said.write("It was so when the archive was made; manage.py check_record --mend puts it right.")
        self.say(said.getvalue().rstrip())

    def say(self, sentence: str) -> None:
        """Print at once, also into a file or pipe."""
        self.stdout.write(sentence)
        self.stdout.flush()


def told(restored: Restored) -> list[str]:
    """What came in, in sentences."""
    contents = restored.contents
    lines = [f"{one.name} ({one.code}) is back as of {contents.made_at}." for one in contents.outfits]
    lines.append(f"{contents.rows} rows and {len(contents.files)} field files came in.")
    if restored.people_known:
        lines.append(f"{restored.people_known} people were known here and keep their name and password.")
    lines += restored.renamed
    lines += [f"{name} has no password yet: manage.py password {name}" for name in restored.without_password]
    return lines
