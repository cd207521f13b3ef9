"""manage.py sets its own environment up from plain Python, and again whenever that is needed."""

import os
from pathlib import Path

import pytest

from herd.config.bootstrap import UNDER_WAY, choose_database, needed
from tests.config.checkout import begin, make_checkout, require, run


@pytest.fixture(scope="module")
def first_start(tmp_path_factory):
    """A checkout with spaces in its path, and what its first start answered."""
    folder = make_checkout(tmp_path_factory.mktemp("a folder") / "bare clone")
    return folder, run(folder, "intake", "two words.csv", "--day", "")


@pytest.fixture
def checkout(first_start):
    """A checkout that has been started once."""
    return first_start[0]


def venv_python(folder: Path) -> str:
    return str(folder / ".venv" / ("Scripts/python.exe" if os.name == "nt" else "bin/python"))


def test_the_first_start_makes_the_environment_says_so_and_goes_on_in_it(first_start):
    folder, (code, output, errors) = first_start
    assert code == 0
    assert output.split("|") == [str(folder / ".venv"), "1.0", "intake", "two words.csv", "--day", ""]
    assert "Making .venv" in errors
    assert "Installing requirements/base.txt" in errors


def test_a_later_start_has_nothing_to_say(checkout):
    assert run(checkout, "again") == (0, f"{checkout / '.venv'}|1.0|again", "")


def test_the_environments_own_python_has_nothing_to_say_either(checkout):
    assert run(checkout, "again", python=venv_python(checkout)) == (0, f"{checkout / '.venv'}|1.0|again", "")


def test_the_exit_code_of_the_command_comes_through(checkout):
    assert run(checkout, "fail")[0] == 7


@pytest.mark.parametrize("from_inside", [False, True])
def test_changed_requirements_are_installed_at_the_next_start(checkout, from_inside):
    require(checkout, "2.0")
    code, output, errors = run(checkout, "x", python=venv_python(checkout) if from_inside else "")
    assert (code, output) == (0, f"{checkout / '.venv'}|2.0|x")
    assert "Installing" in errors
    require(checkout, "1.0")
    assert run(checkout, "x")[1] == f"{checkout / '.venv'}|1.0|x"


def test_requirements_that_cannot_be_had_are_told_in_a_sentence(checkout):
    require(checkout, "9.9")
    code, output, errors = run(checkout, "x")
    assert (code, output) == (1, "")
    assert "check that this machine is online" in errors
    assert "Traceback" not in errors
    require(checkout, "1.0")
    assert run(checkout, "x")[0] == 0


def test_two_starts_at_once_make_a_half_made_environment_again_and_both_go_on(checkout):
    (checkout / ".venv" / UNDER_WAY).touch()
    starts = [begin(checkout, "one"), begin(checkout, "two", python=venv_python(checkout))]
    answers = [start.communicate(timeout=120) for start in starts]
    assert [output.strip().split("|")[1:] for output, _ in answers] == [["1.0", "one"], ["1.0", "two"]]
    assert sum("making it again" in errors for _, errors in answers) == 1
    assert not (checkout / ".venv" / UNDER_WAY).exists()


def test_the_tests_and_the_checks_need_more_than_the_site(monkeypatch):
    monkeypatch.delenv("CI", raising=False)
    assert [needed(["up"]), needed([]), needed(["test", "-x"]), needed(["check_code"])] == [
        "base", "base", "dev", "dev",
    ]  # fmt: skip
    monkeypatch.setenv("CI", "true")
    assert needed(["up"]) == "dev"


def test_the_demo_never_touches_the_real_database(monkeypatch, tmp_path):
    monkeypatch.setenv("NOTCHBOOK_VAR", str(tmp_path))
    monkeypatch.setenv("NOTCHBOOK_DATABASE_URL", "postgresql://real")
    monkeypatch.setenv("NOTCHBOOK_BROKER_URL", "redis://real")
    choose_database(tmp_path, ["up"])
    assert os.environ["NOTCHBOOK_DATABASE_URL"] == "postgresql://real"
    choose_database(tmp_path, ["demo"])
    assert os.environ["NOTCHBOOK_VAR"] == str(tmp_path / "demo")
    assert "NOTCHBOOK_DATABASE_URL" not in os.environ
    assert "NOTCHBOOK_BROKER_URL" not in os.environ
