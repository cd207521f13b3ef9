"""Opens an outfit from the command line."""

import argparse
import getpass
import os
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from herd.accounts.models import Role
from herd.accounts.services import AccountError, add_person, is_known_person, open_outfit
from herd.values.mass import WeightUnit


class Command(BaseCommand):
    """Makes the outfit and, where named, its owner; nothing is made when any part is refused."""

    help = "Open an outfit, and an owner for it."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("code", help="Short name used on the command line: letters, digits, - and _.")
        parser.add_argument("--name", required=True, help="The outfit's name in full.")
        parser.add_argument("--time-zone", default="America/Denver", help="IANA name (America/Denver).")
        parser.add_argument("--unit", default="lb", choices=[unit.value for unit in WeightUnit])
        parser.add_argument("--owner", help="User name; password asked, or in NOTCHBOOK_PASSWORD.")

    def handle(self, *args: Any, **options: Any) -> None:
        owner = options["owner"]
        password = ask_password() if owner and not is_known_person(owner) else None
        try:
            with transaction.atomic():
                outfit = open_outfit(
                    code=options["code"],
                    name=options["name"],
                    time_zone=options["time_zone"],
                    weight_unit=WeightUnit(options["unit"]),
                )
                if owner:
                    add_person(outfit=outfit, username=owner, password=password, role=Role.OWNER)
        except AccountError as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"Outfit {outfit.code} ({outfit.name}) is open.")
        if owner:
            self.stdout.write(f"{owner} owns it.")


def ask_password() -> str:
    """Return the password from NOTCHBOOK_PASSWORD, else asked for twice; raises CommandError."""
    given = os.environ.get("NOTCHBOOK_PASSWORD", "")
    if given:
        return given
    if not sys.stdin.isatty():
        raise CommandError("No console to ask for a password; give it in NOTCHBOOK_PASSWORD.")
    password = getpass.getpass("Password: ")
    if password != getpass.getpass("The same again: "):
        raise CommandError("The two passwords differ; nothing was made.")
    return password
