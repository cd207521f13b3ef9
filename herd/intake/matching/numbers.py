"""A row as matching sees it: the numbers that may say which animal it is about."""

from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

# Numbers of these kinds name one animal of the outfit when they are whole (design of each: herd.values).
STRONG_KINDS = ("eid", "nues", "tattoo", "brand")


@dataclass(frozen=True, slots=True)
class Numbers:
    """The numbers of a row; empty where the row has none. Rows with equal numbers are judged once."""

    eid: str = ""
    vid: str = ""
    colour: str = ""
    metal: str = ""
    tattoo: str = ""
    brand: str = ""
    tube: str = ""
    # Our own id of the animal, where a device that had its card named it; it goes before all numbers.
    animal: str = ""
    # The animal's name in a record kept elsewhere, which no other animal of that record has.
    called: str = ""
    # The row says when all that is in it happened, so that it matters not whether the animal is on hand today.
    is_dated: bool = False

    @property
    def key(self) -> str:
        """A short text that tells these numbers from others."""
        parts = (self.eid, self.vid, self.colour, self.metal, self.tattoo, self.brand)
        if self.animal:
            return f"animal {self.animal}"
        if self.called:
            return " ".join([*filter(None, parts), self.called])
        if not any(parts):
            return f"tube {self.tube}" if self.tube else ""
        return " ".join(part for part in parts if part)

    @property
    def others(self) -> tuple[tuple[str, str], ...]:
        """The numbers besides EID and visual tag, by kind."""
        if not (self.metal or self.tattoo or self.brand):
            return ()
        pairs = (("nues", self.metal), ("tattoo", self.tattoo), ("brand", self.brand))
        return tuple(pair for pair in pairs if pair[1])


@dataclass(slots=True)
class Row:
    """A staged row in memory; `applied_to` is the animal that has in the record what it says."""

    id: UUID
    file: UUID
    file_name: str
    line: int
    number: int
    readings: dict[str, Any]
    problems: list[dict[str, Any]]
    is_herd_list: bool = False
    was_applied: bool = False
    applied_to: UUID | None = None
    numbers: Numbers = field(default_factory=Numbers)
    # What was kept of it when the day was decided last: state, reason, animal, merged line and match.
    kept: tuple[Any, ...] = ()

    @property
    def place(self) -> str:
        """Where the row stands, for a person."""
        return f"{self.file_name}, line {self.line}"


def numbers_of(readings: dict[str, Any]) -> Numbers:
    """Pick the numbers out of a row's readings."""
    return Numbers(
        eid=readings.get("eid", ""),
        vid=readings.get("vid", ""),
        colour=readings.get("vid_colour", ""),
        metal=readings.get("metal", ""),
        tattoo=readings.get("tattoo", ""),
        brand=readings.get("brand", ""),
        tube=readings.get("tube", ""),
        animal=readings.get("animal", ""),
        called=readings.get("called", ""),
        is_dated=readings.get("is_dated", False),
    )


def tube_of(readings: dict[str, Any]) -> str:
    """The sample tube that a row names, be it as one of its own cells or in an event told whole."""
    told = readings.get("told", {})
    is_sample = told.get("kind") == "sample"
    return str(readings.get("tube") or (told["data"].get("tube", "") if is_sample else ""))
