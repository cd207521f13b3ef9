"""The rooms import only downwards, as the contracts in pyproject.toml say."""

import subprocess
import sys

from tests.architecture.sources import ROOT

LINT = "from importlinter.cli import lint_imports_command; lint_imports_command()"


def test_every_import_contract_is_kept():
    done = subprocess.run(
        [sys.executable, "-c", LINT, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout
