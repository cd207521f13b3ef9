"""Plain Python, before anything is installed: makes .venv beside manage.py and moves the command into it."""

import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from herd.config.locks import file_lock
from herd.config.pins import are_installed

DEV_COMMANDS = {"test", "check_code"}
UNDER_WAY = "notchbook-setup-under-way"


def say(sentence: str) -> None:
    """Print to standard error, so that a command's own output stays clean."""
    print(sentence, file=sys.stderr, flush=True)


def needed(command: list[str]) -> str:
    """Return which requirements the command line needs: "dev" or "base"."""
    is_dev = bool(DEV_COMMANDS & set(command[:1])) or bool(os.environ.get("CI"))
    return "dev" if is_dev else "base"


@dataclass(frozen=True, slots=True)
class Place:
    """The .venv of one checkout, and what is to be in it: "base" or "dev" requirements."""

    root: Path
    wanted: str

    @property
    def folder(self) -> Path:
        """Where the virtual environment lies."""
        return self.root / ".venv"

    @property
    def python(self) -> Path:
        """Its interpreter."""
        return self.folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")

    @property
    def requirements(self) -> Path:
        """The file that names what is to be installed."""
        return self.root / "requirements" / f"{self.wanted}.txt"

    @property
    def is_ours_now(self) -> bool:
        """Whether this very process runs inside it."""
        return self.folder.exists() and os.path.samefile(sys.prefix, self.folder)

    @property
    def was_interrupted(self) -> bool:
        """Whether a set-up was killed before its end."""
        return (self.folder / UNDER_WAY).exists()

    def digest(self, wanted: str) -> str:
        """Return the SHA-256 of the requirement files in hexadecimal."""
        names = ["base.txt"] if wanted == "base" else ["base.txt", "dev.txt"]
        text = b"\0".join((self.root / "requirements" / name).read_bytes() for name in names)
        return hashlib.sha256(text).hexdigest()

    def stamp(self, wanted: str) -> Path:
        """Return the file that tells what was last installed."""
        return self.folder / f"notchbook-{wanted}"

    def is_fresh(self) -> bool:
        """Whether the environment is whole and holds the requirements as they are now.

        From inside, the version of Python counts too: a system upgrade can leave the packages behind.
        """
        stamp = self.stamp(self.wanted)
        if self.was_interrupted or not self.python.exists() or not stamp.exists():
            return False
        digest, _, version = stamp.read_text().strip().partition(" ")
        is_same_python = not self.is_ours_now or version == _version(sys.version)
        return digest == self.digest(self.wanted) and is_same_python


def prepare(root: Path, command: list[str]) -> None:
    """Return where this interpreter has what the command needs; else set .venv up and go on there.

    Exits with one sentence where that cannot be done.
    """
    place = Place(root, needed(command))
    if place.is_fresh():
        return None if place.is_ours_now else relaunch(place.python)
    if not place.is_ours_now and are_installed(place.requirements):
        return None
    if place.is_ours_now and not _is_whole(place):
        relaunch(Path(getattr(sys, "_base_executable", sys.executable)))
    with file_lock(root / "var" / "setup.lock", when_waiting=lambda: say("Another start sets up; waiting.")):
        if not place.is_fresh():
            _set_up(place)
    return None if place.is_ours_now else relaunch(place.python)


def relaunch(python: Path) -> NoReturn:
    """Run this same command line with another interpreter, in place of this process where possible."""
    arguments = [str(python), str(Path(sys.argv[0]).resolve()), *sys.argv[1:]]
    sys.stdout.flush()
    if sys.platform != "win32":
        os.execv(arguments[0], arguments)
    # Windows has no exec that keeps the console: wait for the child, and leave Ctrl-C to it.
    child = subprocess.Popen(arguments)
    while True:
        try:
            sys.exit(child.wait())
        except KeyboardInterrupt:
            continue


def choose_database(root: Path, command: list[str]) -> None:
    """Send the demo to its own database and broker, whatever the environment says about the real ones."""
    if command[:1] != ["demo"]:
        return
    os.environ["NOTCHBOOK_VAR"] = str(Path(os.environ.get("NOTCHBOOK_VAR") or root / "var") / "demo")
    for name in ("NOTCHBOOK_DATABASE_URL", "NOTCHBOOK_BROKER_URL", "NOTCHBOOK_PRODUCTION"):
        os.environ.pop(name, None)


def _set_up(place: Place) -> None:
    mark = place.folder / UNDER_WAY
    if not _is_whole(place):
        _make(place)
    mark.touch()
    say(f"Installing requirements/{place.wanted}.txt into .venv; the first time this takes a minute or two.")
    done = subprocess.run(
        [place.python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--retries", "3",
         "--requirement", place.requirements],
        capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL,
    )  # fmt: skip
    # Pip that ends by itself, even in failure, leaves no half-installed package; only a kill does.
    mark.unlink()
    if done.returncode:
        last = (done.stderr.strip() or "nothing").splitlines()[-1]
        sys.exit(
            "The requirements could not be installed. They come from the package index, so check that this "
            f"machine is online and run the same command again. The installer's last words: {last}"
        )
    version = _version(_output([place.python, "-c", "import sys; print(sys.version)"]))
    for wanted in {"base", place.wanted}:
        place.stamp(wanted).write_text(f"{place.digest(wanted)} {version}\n")
    say("The requirements are in place.")


def _make(place: Place) -> None:
    if not importlib.util.find_spec("venv") or not importlib.util.find_spec("ensurepip"):
        sys.exit(
            "This Python cannot make virtual environments: its venv or ensurepip module is missing. "
            "On Debian or Ubuntu install the package python3-venv, then run the same command again."
        )
    if place.folder.exists():
        say("The environment in .venv is not whole; making it again.")
    else:
        say("Making .venv for the requirements.")
    place.folder.mkdir(exist_ok=True)
    mark = place.folder / UNDER_WAY
    mark.touch()
    for old in place.folder.iterdir():
        if old.is_dir() and not old.is_symlink():
            shutil.rmtree(old)
        elif old != mark:
            old.unlink()
    done = subprocess.run(
        [sys.executable, "-m", "venv", place.folder], capture_output=True, text=True, check=False,
        stdin=subprocess.DEVNULL,
    )  # fmt: skip
    if done.returncode:
        last = (done.stderr.strip() or done.stdout.strip() or "nothing").splitlines()[-1]
        sys.exit(f"The environment in .venv could not be made. Python's last words: {last}")


def _is_whole(place: Place) -> bool:
    if place.was_interrupted or not place.python.exists():
        return False
    return _output([place.python, "-c", "import pip; print('whole')"]) == "whole"


def _output(arguments: list[str | Path]) -> str:
    try:
        done = subprocess.run(arguments, capture_output=True, text=True, check=False)
    except OSError:
        return ""
    return done.stdout.strip() if done.returncode == 0 else ""


def _version(text: str) -> str:
    return ".".join(text.split(" ")[0].split(".")[:2])
