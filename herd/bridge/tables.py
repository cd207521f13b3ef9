"""Reads one table of a TOML document key by key, and notes what is wrong with its line, key and value."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

_HEADING = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_.\"' -]+?)\s*\]\]?\s*(#.*)?")
_KEY = re.compile(r"\s*\"?([A-Za-z0-9_ -]+?)\"?\s*=")


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong in the file; line 0 where no one line is at fault."""

    line: int
    key: str
    value: str
    reason: str

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line else ""
        value = f" = {self.value}" if self.value else ""
        return f"{where}{self.key}{value}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Document:
    """The text of the file, to find lines in, and what was found wrong so far."""

    text: str
    faults: list[Fault] = field(default_factory=list)

    def line_of(self, name: str, place: int, key: str) -> int:
        """The line of a key in the `place`-th table of a name, or of the table's heading, or 0."""
        at, count, heading = "", -1, 0
        for number, line in enumerate(self.text.splitlines(), start=1):
            found = _HEADING.fullmatch(line)
            if found:
                at = found[2]
                # A table below one of several counts with the one it stands under.
                count = count + 1 if at == name.partition(".")[0] else count
                is_first = not heading and at == f"{name}.{key}".strip(".")
                heading = number if is_first or _is_here(at, count, name, place) else heading
            elif _is_here(at, count, name, place) and (given := _KEY.match(line)) and given[1] == key:
                return number
        return heading


def _is_here(at: str, count: int, name: str, place: int) -> bool:
    return at == name and (not name or max(count, 0) == place)


@dataclass(slots=True)
class Table:
    """One table: each reader gives a usable value and notes a fault where the written one is none."""

    document: Document
    name: str
    values: Mapping[str, Any]
    place: int = 0
    asked: set[str] = field(default_factory=set)

    def text(self, key: str, default: str = "", *, is_needed: bool = False) -> str:
        """A text."""
        value = self._value(key, default, (str,), "a text in quotes")
        if is_needed and not value:
            self.fault(key, "It has to be named.")
        return str(value)

    def number(self, key: str, default: float, low: float, high: float) -> float:
        """A number from `low` to `high`."""
        value = self._value(key, default, (int, float), "a number")
        if not low <= value <= high:
            self.fault(key, f"It must be from {low:g} to {high:g}.")
            return default
        return float(value)

    def flag(self, key: str, *, default: bool) -> bool:
        """true or false."""
        return bool(self._value(key, default, (bool,), "true or false"))

    def choice(self, key: str, default: str, choices: Sequence[str]) -> str:
        """One of several words."""
        value = self.text(key, default)
        if value not in choices:
            self.fault(key, f"It must be one of {', '.join(one for one in choices if one)}.")
            return default
        return value

    def texts(self, key: str, default: Sequence[str] = ()) -> list[str]:
        """A list of texts; one text alone counts as a list of one."""
        value = self._value(key, list(default), (list, str), "a list of texts")
        found = [value] if isinstance(value, str) else value
        if not all(isinstance(one, str) for one in found):
            self.fault(key, "It must be a list of texts in quotes.")
            return list(default)
        return list(found)

    def table(self, key: str) -> "Table":
        """A table inside this one."""
        value = self._value(key, {}, (dict,), "a table")
        name = f"{self.name}.{key}".lstrip(".")
        return Table(self.document, name, value, self.place)

    def tables(self, key: str) -> list["Table"]:
        """Several tables of one name."""
        value = self._value(key, [], (list,), "tables under [[ ]]")
        if not all(isinstance(one, dict) for one in value):
            self.fault(key, "It must be tables under [[ ]].")
            return []
        return [Table(self.document, key, one, place) for place, one in enumerate(value)]

    def fault(self, key: str, reason: str) -> None:
        """Note what is wrong with a key."""
        written = self.values.get(key, "")
        value = "" if isinstance(written, dict | list) else repr(written)[:60] if key in self.values else ""
        name = f"{self.name}.{key}".strip(".")
        self.document.faults.append(Fault(self.document.line_of(self.name, self.place, key), name, value, reason))

    def end(self) -> None:
        """Note the keys that nothing here reads: most are slips of the pen."""
        for key in self.values:
            if key not in self.asked:
                self.fault(key, f"There is no such key here; there are {', '.join(sorted(self.asked))}.")

    def _value(self, key: str, default: Any, kinds: tuple[type, ...], said: str) -> Any:
        self.asked.add(key)
        value = self.values.get(key, default)
        # true is an int in Python, and no number here.
        if not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds):
            self.fault(key, f"It must be {said}.")
            return default
        return value
