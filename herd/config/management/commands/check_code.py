"""Runs the checks of the code: style, types, import contracts, missing migrations."""

import subprocess
import sys
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

MYPY = "from mypy.__main__ import console_entry; console_entry()"
CONTRACTS = "from importlinter.cli import lint_imports_command; lint_imports_command()"
CHECKS = {
    "ruff": ["-m", "ruff", "check", "."],
    "mypy": ["-c", MYPY],
    "import contracts": ["-c", CONTRACTS],
    "migrations": ["manage.py", "makemigrations", "--check", "--dry-run"],
}


class Command(BaseCommand):
    """Runs every check, also after one has failed, and names those that failed at the end."""

    help = "Check style, types, import contracts and that no migration is missing."
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> None:
        failed = [name for name in CHECKS if not self.passes(name, settings.BASE_DIR)]
        if failed:
            raise CommandError(f"Failed: {', '.join(failed)}.")
        self.stdout.write("All checks passed.")

    def passes(self, name: str, folder: Path) -> bool:
        """Run one check in the folder, its output as it comes."""
        self.stdout.write(f"== {name}")
        self.stdout.flush()
        return subprocess.run([sys.executable, *CHECKS[name]], cwd=folder, check=False).returncode == 0
