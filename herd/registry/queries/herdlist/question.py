"""The question put to the herd: which animals, and in which order."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from herd.registry.models import AnimalStatus

NO_TAG = "any"
NO_CHECK = "none"

# The classes of the head count, and calves told apart by sex.
CLASS_WORDS = ("cow", "heifer", "bull", "steer", "calf", "heifer calf", "bull calf", "steer calf", "unknown")


@dataclass(frozen=True, slots=True)
class Question:
    """Which animals of the herd; what is left empty asks nothing.

    `today` is the outfit's day, from which ages count, in whole months. Weights are in nanograms and mean the
    last dated weighing. `statuses` left empty asks for all, `lacks` may be NO_TAG, `last_check` NO_CHECK.
    """

    today: date
    number: str = ""
    group_id: UUID | None = None
    is_loose: bool = False
    location_id: UUID | None = None
    is_nowhere: bool = False
    classes: tuple[str, ...] = ()
    months_from: int | None = None
    months_to: int | None = None
    statuses: tuple[str, ...] = (AnimalStatus.ON_HAND.value,)
    wears: str = ""
    lacks: str = ""
    event: str = ""
    event_is_lacking: bool = False
    event_since: date | None = None
    last_check: str = ""
    weight_from: int | None = None
    weight_to: int | None = None
    sort: str = "vid"
    is_falling: bool = False
