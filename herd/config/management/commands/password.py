"""Sets someone's password on the computer itself, for whoever can't sign in any more."""

import argparse
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from herd.accounts.models import Person
from herd.accounts.resetcodes import make_code, set_password
from herd.accounts.services import AccountError
from herd.config.management.commands.outfit import ask_password


class Command(BaseCommand):
    """Asks for the new password, or prints a one-time code for the page /reset/."""

    help = "Set a new password for a person, or print a one-time code with which the person sets it."

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        parser.add_argument("name", help="User name of the person.")
        parser.add_argument("--code", action="store_true", help="Print a one-time code instead of asking.")

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["name"].strip()).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {options['name']}. {known_names()}")
        if options["code"]:
            code = make_code(person=person, by=None)
            self.stdout.write(f"One-time code for {person.username}, for 24 hours on the page /reset/: {code}")
            return
        try:
            set_password(person=person, password=ask_password(), says=f"{person} got a new password at the computer.")
        except AccountError as refused:
            raise CommandError(str(refused)) from refused
        self.stdout.write(f"The password of {person.username} is set; all sessions of this person have ended.")


def known_names() -> str:
    """The first few user names, for whoever forgot the own one."""
    names = list(Person.objects.order_by("username").values_list("username", flat=True)[:20])
    return f"Known are: {', '.join(names)}." if names else "There are no people yet; see manage.py outfit."
