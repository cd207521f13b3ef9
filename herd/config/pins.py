"""Reads pinned requirement files and compares them with what the running interpreter has."""

import re
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

_PIN = re.compile(r"(?P<name>[A-Za-z0-9._-]+)(\[[^]]*\])?==(?P<version>[^\s;]+)\s*(;\s*(?P<marker>.*))?")
_PLATFORM = re.compile(r"""sys_platform\s*==\s*["'](?P<name>\w+)["']""")


def requirement_lines(path: Path) -> list[str]:
    """Return the lines of a requirement file and of the files it includes, without comments."""
    lines: list[str] = []
    for raw in path.read_text(encoding="utf-8").splitlines():
        line = raw.split("#")[0].strip()
        if line.startswith("-r "):
            lines += requirement_lines(path.parent / line[3:].strip())
        elif line:
            lines.append(line)
    return lines


def are_installed(path: Path) -> bool:
    """Whether the running interpreter has each requirement in exactly the pinned version."""
    return all(is_met(line) for line in requirement_lines(path))


def is_met(line: str) -> bool:
    """Whether one line is met; a line that is not a plain pin counts as not met."""
    pin = _PIN.fullmatch(line)
    if not pin:
        return False
    if pin["marker"]:
        platform = _PLATFORM.fullmatch(pin["marker"].strip())
        if platform and platform["name"] != sys.platform:
            return True
    try:
        return version(pin["name"]) == pin["version"]
    except PackageNotFoundError:
        return False
