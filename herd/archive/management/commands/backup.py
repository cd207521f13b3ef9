"""Makes a verified backup of the whole installation while the site runs."""

import argparse
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from herd.archive.backups import back_up
from herd.archive.manifest import Manifest
from herd.archive.refused import ArchiveRefused
from herd.archive.unpacking import open_archive


class Command(BaseCommand):
    """Write a backup that was read back before it got its name, or verify one."""

    help = __doc__
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the folder, how many stay, and the file to verify instead."""
        parser.add_argument("--to", type=Path, help="The folder to write into (var/backups).")
        parser.add_argument("--keep", type=count, help="How many backups stay in the folder, this one included.")
        parser.add_argument("--verify", type=Path, metavar="FILE", help="Make none; verify this archive instead.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make one, or verify one."""
        try:
            if options["verify"]:
                path = options["verify"]
                with open_archive(path) as archive:
                    archive.verify()
                    contents = archive.contents
            else:
                folder = options["to"] or Path(settings.BACKUP_DIR)
                path, contents = back_up(folder, keep=options["keep"], say=self.say)
        except ArchiveRefused as refused:
            raise CommandError(str(refused)) from refused
        for sentence in told(contents):
            self.say(sentence)
        self.say(f"Verified: {path} ({path.stat().st_size / 1e6:.1f} MB).")

    def say(self, sentence: str) -> None:
        """Print at once, also into a file or pipe."""
        self.stdout.write(sentence)
        self.stdout.flush()


def told(contents: Manifest) -> list[str]:
    """What an archive holds, in sentences."""
    rows = {part.name.removeprefix("tables/").removesuffix(".ndjson"): part.rows for part in contents.tables}
    outfits = ", ".join(f"{one.name} ({one.code}, change {one.feed_position})" for one in contents.outfits)
    return [
        f"Made {contents.made_at}; outfits: {outfits or 'none yet'}.",
        f"{rows.get('registry.animal', 0)} animals, {rows.get('registry.event', 0)} events, "
        f"{rows.get('ledger.change', 0)} changes, {rows.get('intake.processingday', 0)} processing days, "
        f"{len(contents.files)} field files.",
    ]


def count(text: str) -> int:
    """Read how many stay, 1 or more; raises ArgumentTypeError."""
    if text.isascii() and text.isdigit() and 0 < int(text) < 100_000:
        return int(text)
    raise argparse.ArgumentTypeError(f"{text!r} is not a number of backups; write 1 or more.")
