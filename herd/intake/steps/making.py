"""A batch in the making: the day it is of, whose sources, and the ids under which new rows are known meanwhile."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

from herd.intake.models import ProcessingDay
from herd.ledger.entry import Source
from herd.registry.services.batch import Batch


@dataclass(slots=True)
class Making:
    """`newcomers` are new animals by their line's key, `groups` by their names in small letters.

    `turn` says how far the ids that proposals ask for are moved on, because other rows have them; `wearings` are
    those that tags ask for; `places` are groups and locations by kind and exact name, as a record kept elsewhere
    names them.
    """

    day: ProcessingDay
    sources: Mapping[str, Source]
    newcomers: dict[str, UUID]
    groups: dict[str, UUID]
    new_ids: frozenset[UUID]
    turn: int = 0
    wearings: frozenset[UUID] = frozenset()
    places: dict[tuple[str, str], UUID] = field(default_factory=dict)
    batch: Batch = field(default_factory=Batch)
