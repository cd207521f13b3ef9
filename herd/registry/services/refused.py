"""A write that was refused, with every reason found."""

from dataclasses import dataclass
from uuid import UUID


@dataclass(frozen=True, slots=True)
class Refusal:
    """One reason: a sentence, the field it belongs beside, the animal it concerns."""

    reason: str
    field: str = ""
    animal_id: UUID | None = None


class Refused(ValueError):  # noqa: N818
    """Nothing was written; `refusals` says why."""

    def __init__(self, refusals: list[Refusal]) -> None:
        super().__init__(" ".join(one.reason for one in refusals[:5]))
        self.refusals = refusals
