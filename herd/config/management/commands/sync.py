"""Keeps this installation's record in step with another one's."""

import argparse
import random
import time
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from herd.archive.firstcopy import begin, enrol_here
from herd.archive.management.commands.restore import told
from herd.archive.refused import ArchiveRefused
from herd.client.faults import ClientError, Offline, Unfit
from herd.client.retrying import wait_before
from herd.client.wire import Wire
from herd.config.upgrade import bring_up_to_date
from herd.sync.models import Upstream
from herd.sync.upstream.leaving import decide_here
from herd.sync.upstream.rounds import sync_once

DONE, REFUSED, LEFT = 0, 1, 3


class Command(BaseCommand):
    """Sends what was written here and takes what was decided there, once or again and again."""

    help = "Keep this installation's record in step with the office's. Exit: 0 done, 1 refused, 3 not reached."
    requires_system_checks = ()

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("--with", dest="url", metavar="URL", help="The other installation's address.")
        parser.add_argument("--code", help="The one-time code that the office there has shown (the first time).")
        parser.add_argument("--outfit", help="The outfit's code, where several are kept in step.")
        parser.add_argument(
            "--decide-here", metavar="OUTFIT", help="Follow no longer: let this outfit's record be decided here."
        )
        parser.add_argument("--every", type=_seconds, metavar="SECONDS", help="Go on until Ctrl-C, so often.")

    def handle(self, *args: Any, **options: Any) -> None:
        bring_up_to_date(self.say)
        if options["decide_here"]:
            self.leave(options["decide_here"])
            return
        if options["code"]:
            self.begin(options["url"], options["code"])
        upstream = self.chosen(options["outfit"], options["url"])
        attempt = 0
        while True:
            code = self.once(upstream)
            if options["every"] is None:
                if code != DONE:
                    raise SystemExit(code)
                return
            attempt = 0 if code == DONE else attempt + 1
            wait = options["every"] if code == DONE else wait_before(attempt, random.random(), options["every"])
            try:
                time.sleep(wait)
            except KeyboardInterrupt:
                return
            upstream.refresh_from_db()

    def begin(self, url: str | None, code: str) -> None:
        """Enrol with the other installation and take the first copy."""
        if not url:
            raise CommandError("Say with which installation: --with https://...")
        wire = None
        try:
            enrolled = enrol_here(url, code)
            wire = Wire(enrolled.url, lambda: enrolled.token)
            followed = begin(enrolled, wire, self.say)
        except Offline as problem:
            self.say(f"{problem} Nothing was changed.")
            raise SystemExit(LEFT) from problem
        except (ClientError, ArchiveRefused) as problem:
            raise CommandError(str(problem)) from problem
        finally:
            if wire is not None:
                wire.close()
        for sentence in told(followed.restored) if followed.restored else ["Enrolled anew."]:
            self.say(sentence)

    def leave(self, outfit: str) -> None:
        """Let the record be decided here from now on."""
        upstream = self.chosen(outfit, None)
        name, url = upstream.outfit.name, upstream.url
        decide_here(upstream)
        self.say(
            f"{name} is decided here from now on. Where {url} still works, its record and this one "
            "part: let nobody work there any more. Installations that followed it go on here with a new "
            "code, by manage.py sync --with URL --code CODE; phones that delivered there are enrolled here anew."
        )

    def chosen(self, outfit: str | None, url: str | None) -> Upstream:
        """The one outfit that is meant; raises CommandError."""
        rows = Upstream.objects.select_related("outfit").order_by("outfit__code")
        rows = rows.filter(outfit__code=outfit) if outfit else rows
        found = list(rows[:2])
        if not found:
            raise CommandError(
                "Nothing here is kept in step with another installation. Let the office there enrol this one as a "
                "device (another installation), then: manage.py sync --with URL --code CODE"
            )
        if len(found) > 1:
            raise CommandError("Several outfits are kept in step; say which: --outfit CODE")
        upstream = found[0]
        if url and url.rstrip("/") != upstream.url:
            # The same installation may have moved; its token and its feed tell whether it is the same.
            upstream.url = url.rstrip("/")
            upstream.save(update_fields=["url"])
        return upstream

    def once(self, upstream: Upstream) -> int:
        """Do one round and say what it came to."""
        wire = None
        try:
            wire = Wire(upstream.url, lambda: upstream.token)
            done = sync_once(upstream, wire)
        except Offline as problem:
            self.say(str(problem))
            return LEFT
        except Unfit as problem:
            raise CommandError(str(problem)) from problem
        except ClientError as problem:
            self.say(f"Refused: {problem}")
            return REFUSED
        finally:
            if wire is not None:
                wire.close()
        self.say(f"{upstream.outfit.code}: {done.sent} sent, {done.came} changes came.")
        if not done.is_whole:
            self.say("More was written here meanwhile; it goes with the next round.")
            return LEFT
        return DONE

    def say(self, sentence: str) -> None:
        """Print at once, also into a file or pipe."""
        self.stdout.write(sentence)
        self.stdout.flush()


def _seconds(text: str) -> float:
    if text.isascii() and text.isdigit() and 1 <= int(text) <= 86_400:
        return float(text)
    raise argparse.ArgumentTypeError(f"{text!r} is no number of seconds, 1 to 86400.")
