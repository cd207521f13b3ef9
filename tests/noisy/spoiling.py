"""What the spoiling of one field file needs to know."""

from dataclasses import dataclass, field
from datetime import date
from random import Random
from typing import Any
from uuid import UUID

from tests.noisy.herds import Head
from tests.noisy.sheets import Sheet


@dataclass(slots=True)
class Spoiling:
    """The file, the herd and the day; `world` is what is true of each animal that day."""

    chance: Random
    sheet: Sheet
    herd: list[Head]
    world: dict[UUID, dict[str, Any]]
    worked_on: date
    by_eid: dict[str, Head] = field(init=False)
    by_vid: dict[str, Head] = field(init=False)

    def __post_init__(self) -> None:
        self.by_eid = {one.eid: one for one in self.herd}
        self.by_vid = {one.vid: one for one in self.herd}
