"""What the files of a day know of each other: whose EID was read, and when."""

from dataclasses import dataclass, field
from uuid import UUID

from herd.intake.matching.numbers import Numbers


@dataclass(slots=True)
class Seen:
    """What the other files of the day know: the animals whose EID was read, and whether that says anything."""

    animals: frozenset[UUID] = frozenset()
    is_telling: bool = False
    off_minute: dict[Numbers, set[UUID]] = field(default_factory=dict)
