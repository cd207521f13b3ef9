#!/usr/bin/env python3
"""The one command of an installation: sets itself up where needed, then runs what is asked."""

import sys

# Everything in this file has to be readable by older versions too, or they could not say what is wrong.
if sys.version_info < (3, 11):  # noqa: UP036
    sys.exit("Notchbook needs Python 3.11 or newer; this is Python %d.%d." % sys.version_info[:2])  # noqa: UP031

import os
from pathlib import Path

from herd.config.bootstrap import choose_database, prepare

ROOT = Path(__file__).resolve().parent


def main() -> None:
    """Prepare the environment, then hand the command line to Django."""
    prepare(ROOT, sys.argv[1:])
    choose_database(ROOT, sys.argv[1:])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "herd.config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
