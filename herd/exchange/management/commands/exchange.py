"""Writes an outfit's record as ICAR ADE JSON, and stages such documents as a processing day."""

import json
from argparse import ArgumentParser
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from herd.accounts.models import Outfit
from herd.exchange.inward.staging import take_in
from herd.exchange.outward.documents import write_file, write_folder
from herd.exchange.outward.scope import Scope
from herd.intake.days import GivenFile
from herd.intake.management.commands.intake import FINDINGS_WAIT, REFUSED, describe, in_words
from herd.intake.pipeline import apply_day
from herd.registry.services.refused import Refused


class Command(BaseCommand):
    """Exchange the record by ICAR ADE 1.3.2 (docs/exchange.md). In: exit 0 clear, 3 findings wait, 1 refused."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Declare the two ways and their options."""
        ways = parser.add_subparsers(dest="way", required=True, parser_class=ArgumentParser)
        out = ways.add_parser("out", help="write the record")
        out.add_argument("--outfit", required=True, help="the outfit's code")
        out.add_argument("--to", required=True, help="a file, or a folder (a name that ends in / is made one)")
        out.add_argument("--since", type=date.fromisoformat, metavar="YYYY-MM-DD", help="only what has changed since")
        into = ways.add_parser("in", help="stage documents as a processing day")
        into.add_argument("files", nargs="+", metavar="FILE")
        into.add_argument("--outfit", required=True, help="the outfit's code")
        into.add_argument("--day", type=date.fromisoformat, metavar="YYYY-MM-DD", help="the day to stage them under")
        into.add_argument("--apply-clear", action="store_true", help="apply what needs no person")
        into.add_argument("--json", action="store_true", help="print JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Go one of the two ways."""
        outfit = Outfit.objects.filter(code=options["outfit"]).first()
        if outfit is None:
            raise CommandError(f"There is no outfit with the code {options['outfit']!r}.", returncode=REFUSED)
        (self._out if options["way"] == "out" else self._in)(outfit, options)

    def _out(self, outfit: Outfit, options: dict[str, Any]) -> None:
        since = options.get("since")
        scope = Scope(outfit, datetime.combine(since, time(), outfit.zone) if since else None)
        path = Path(options["to"])
        try:
            into_folder = path.is_dir() or str(options["to"]).endswith(("/", "\\"))
            counts = write_folder(scope, path) if into_folder else write_file(scope, path)
        except OSError as problem:
            raise CommandError(f"{path} can't be written: {problem.strerror}.", returncode=REFUSED) from problem
        said = ", ".join(f"{count} {name}" for name, count in counts.items() if count)
        self.stdout.write(f"{path}: {said or 'nothing has changed'}")

    def _in(self, outfit: Outfit, options: dict[str, Any]) -> None:
        worked_on = options.get("day") or timezone.now().astimezone(outfit.zone).date()
        try:
            files = [_given(path) for path in options["files"]]
            day = take_in(outfit=outfit, person=None, files=files, worked_on=worked_on)
            if options.get("apply_clear"):
                apply_day(day, None)
        except Refused as refused:
            raise CommandError(str(refused), returncode=REFUSED) from refused
        answer = describe(day)
        self.stdout.write(json.dumps(answer, ensure_ascii=False) if options.get("json") else in_words(answer))
        unread = [file for file in answer["files"] if file["problem"]]
        if unread and len(unread) == len(answer["files"]):
            raise SystemExit(REFUSED)
        if answer["findings"] or unread:
            raise SystemExit(FINDINGS_WAIT)


def _given(path: str) -> GivenFile:
    try:
        return GivenFile(Path(path).name, Path(path).read_bytes())
    except OSError as problem:
        raise CommandError(f"{path} can't be read: {problem.strerror}.", returncode=REFUSED) from problem
