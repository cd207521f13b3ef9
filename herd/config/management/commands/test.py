"""Runs the test suite with pytest, in place of Django's own runner."""

import os
import subprocess
import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand


class Command(BaseCommand):
    """Hands everything after `test` to pytest and ends with its exit code; run from the project's folder."""

    help = "Run the tests; what follows is given to pytest as it is."
    requires_system_checks = ()

    def run_from_argv(self, argv: list[str]) -> None:
        sys.exit(run_pytest(argv[2:]))

    def handle(self, *args: Any, **options: Any) -> None:
        sys.exit(run_pytest([str(part) for part in args]))


# The whole suite goes over all cores, a file on one of them.
WHOLE_SUITE = ("-n", "auto", "--dist", "loadfile", "--no-loadscope-reorder")


def run_pytest(arguments: list[str]) -> int:
    """Run pytest with the settings of the tests, over all cores where nothing is asked; returns its exit code."""
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    command = [sys.executable, "-m", "pytest", *(arguments or WHOLE_SUITE)]
    return subprocess.run(command, cwd=settings.BASE_DIR, env=environment, check=False).returncode
