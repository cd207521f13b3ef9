"""Random histories: an office, two installations that follow it, a phone at each; cuts, crashes, restores, retries."""

from typing import Any

from tests.sync.siblings.chute import Chute
from tests.sync.siblings.desk import Desk
from tests.sync.siblings.questions import Questions
from tests.sync.siblings.way import Way
from tests.sync.siblings.world import World


class History(Desk, Chute, Questions, Way):
    """All that may happen, in any order."""


def begin_with(world: World) -> Any:
    """The machine, from a world that was made before; the phone at the last place reads one group only."""
    scopes = ([], [], [world.groups[1]])
    History.beginning = world
    History.phones_at = [
        place.phone(f"phone at the {place.at.name}", scope) for place, scope in zip(world.places, scopes, strict=True)
    ]
    return History
