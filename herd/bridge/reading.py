"""One reading: a number or a weight as it was captured, with its time by both clocks and the line it stood in."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

NET = "net weight, a tare was set on the scale"


class ReadingKind(StrEnum):
    """What was read."""

    NUMBER = "number"
    WEIGHT = "weight"


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading; `value` is an EID of 15 digits, or the figure as the scale showed it; `clock` as operations say it."""

    id: str
    kind: ReadingKind
    value: str
    unit: str
    flags: tuple[str, ...]
    clock: Mapping[str, Any]
    port: str
    line: str
    state: str = ""
    reason: str = ""

    @property
    def at(self) -> str:
        """When it was read, by this machine's clock."""
        return str(self.clock["at"])

    @property
    def note(self) -> str:
        """What a person should know about the weight, for the record."""
        return NET if "tare" in self.flags else ""

    def in_words(self) -> str:
        """The reading for a person."""
        said = f"{self.value} {self.unit}".strip()
        return f"{said} ({self.note})" if self.note else said

    def as_row(self) -> list[str]:
        """The reading as it is stored."""
        return [
            self.id, self.kind, self.value, self.unit, " ".join(self.flags), self.at, json.dumps(dict(self.clock)),
            self.port, self.line,
        ]  # fmt: skip


def as_reading(row: Sequence[str]) -> Reading:
    """A reading from its row."""
    key, kind, value, unit, flags, _, clock, port, line, state, reason = row
    return Reading(
        key, ReadingKind(kind), value, unit, tuple(flags.split()), json.loads(clock), port, line, state, reason
    )
