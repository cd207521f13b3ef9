"""The bridge's command line: run it, check a configuration, write an example of one."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from herd.bridge.configuration import EXAMPLE, Misconfigured, read_configuration
from herd.bridge.keeping import NotKept
from herd.bridge.program import Bridge
from herd.bridge.screen import Plain, Screen
from herd.bridge.settings import Settings
from herd.client.faults import ClientError

OK, REFUSED = 0, 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the bridge is told on its command line."""
    parser.add_argument("--config", type=Path, required=True, help="the configuration, a TOML file")
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--example", action="store_true", help="write a commented example to that file, and end")
    what.add_argument("--check", action="store_true", help="say what is wrong in that file, and end")
    parser.add_argument("--plain", action="store_true", help="say sentences instead of drawing a screen")


def main(arguments: Sequence[str]) -> int:
    """Run from the command line; 0 where all went well, 1 where something was refused."""
    parser = argparse.ArgumentParser(prog="python -m herd.bridge", description=__doc__)
    add_arguments(parser)
    return work(parser.parse_args(arguments))


def work(asked: argparse.Namespace) -> int:
    """Do what was asked for; complaints go to standard error."""
    try:
        if asked.example:
            return _write_example(asked.config)
        settings = read_configuration(asked.config)
        if asked.check:
            Plain().say(f"{asked.config.name} is in order: {_in_words(settings)}")
            return OK
        _run(settings, is_plain=asked.plain)
    except KeyboardInterrupt:
        return OK
    except (Misconfigured, NotKept, ClientError) as problem:
        _complain(str(problem))
        return REFUSED
    return OK


def _write_example(path: Path) -> int:
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(EXAMPLE.read_text(encoding="utf-8"))
    except FileExistsError:
        _complain(f"{path} is there already; nothing was written.")
        return REFUSED
    except OSError as problem:
        _complain(f"{path} can't be written: {problem.strerror}.")
        return REFUSED
    Plain().say(f"An example is in {path}. Change it to what your reader and scale send, then run it with --check.")
    return OK


def _in_words(settings: Settings) -> str:
    ports = ", ".join(port.name for port in settings.ports)
    folder = f" Field files in {settings.folder.path} are uploaded." if settings.folder else ""
    return f"ports {ports}; the reader stands {settings.joining.where} the scale.{folder}"


def _run(settings: Settings, *, is_plain: bool) -> None:
    console = Console()
    if is_plain or not console.is_terminal:
        Bridge(settings, Plain()).run()
        return
    with Screen(console) as screen:
        Bridge(settings, screen).run()


def _complain(text: str) -> None:
    sys.stderr.write(text + "\n")
    sys.stderr.flush()
