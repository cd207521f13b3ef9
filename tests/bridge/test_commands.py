"""The command line writes an example, checks a file, and says what is wrong."""

import subprocess
import sys

from herd.bridge.commands import main
from tests.config.installation import ROOT, environment


def test_an_example_is_written_checked_and_never_overwritten(tmp_path, capsys):
    path = str(tmp_path / "bridge.toml")
    assert main(["--config", path, "--example"]) == 0
    assert main(["--config", path, "--check"]) == 0
    assert "bridge.toml is in order: ports reader, scale; the reader stands at the scale." in capsys.readouterr().out
    assert main(["--config", path, "--example"]) == 1
    assert "is there already; nothing was written" in capsys.readouterr().err


def test_a_file_that_is_wrong_ends_with_its_faults(tmp_path, capsys):
    path = tmp_path / "bridge.toml"
    path.write_text('store = "s.db"\nkeep = 3\n')
    assert main(["--config", str(path)]) == 1
    assert "bridge.toml, line 2: keep = 3: It must be a text in quotes." in capsys.readouterr().err


def test_a_folder_that_is_not_there_is_told(tmp_path, capsys):
    assert main(["--config", str(tmp_path / "none" / "bridge.toml"), "--example"]) == 1
    assert "can't be written" in capsys.readouterr().err


def test_manage_py_runs_it_too(tmp_path):
    done = subprocess.run(
        [sys.executable, "manage.py", "bridge", "--config", str(tmp_path / "none.toml"), "--check"],
        cwd=ROOT, env=environment(tmp_path / "var"), capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (1, "none.toml, file: It can't be read: No such file or directory.\n")
