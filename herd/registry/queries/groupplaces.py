"""Where groups lay on any day, from the ledger of their moves."""

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Action, Change
from herd.registry.models import Group
from herd.registry.queries.changes import facts_of

Timeline = Sequence[tuple[date, UUID | None]]

# The ledger keeps when a move was recorded; the day on which the group went stands in the reason.
_MOVED = re.compile(r"moved on (\d{4}-\d{2}-\d{2})")


def moved_reason(day: date) -> str:
    """The ledger's reason for a group's new location when the whole group went there on a day."""
    return f"moved on {day.isoformat()}"


class GroupPlaces:
    """The locations of an outfit's groups over time."""

    def __init__(self, timelines: Mapping[UUID, Timeline]) -> None:
        self._timelines = timelines

    def at(self, group_id: UUID, day: date) -> UUID | None:
        """Where the group lay on a day; the day of a move counts for the new place."""
        place = None
        for since, there in self._timelines.get(group_id, ()):
            if since <= day:
                place = there
        return place

    def last_moved(self, group_id: UUID) -> date | None:
        """The day of the group's last move as a whole, if any is known."""
        since = self._timelines[group_id][-1][0] if self._timelines.get(group_id) else date.min
        return None if since == date.min else since


def group_places(outfit: Outfit) -> GroupPlaces:
    """Return where each group lay when, in two queries.

    A location that was set without a move, as in a correction, counts for the whole time since the last move.
    """
    changes: dict[UUID, list[Change]] = defaultdict(list)
    for change in Change.objects.filter(outfit=outfit, subject_kind=Group.SUBJECT):
        changes[change.subject_id].append(change)
    timelines: dict[UUID, Timeline] = {}
    for group_id, now in Group.objects.of(outfit).values_list("pk", "location_id"):
        timeline = _timeline(changes[group_id])
        timelines[group_id] = [*timeline[:-1], (timeline[-1][0], now)]
    return GroupPlaces(timelines)


def _timeline(changes: list[Change]) -> list[tuple[date, UUID | None]]:
    timeline: list[tuple[date, UUID | None]] = [(date.min, None)]
    for change in facts_of(changes):
        after = change.after or {}
        if "location_id" not in after or change.action not in {Action.CREATED, Action.CHANGED}:
            continue
        place = UUID(after["location_id"]) if after["location_id"] else None
        moved = _MOVED.fullmatch(change.reason)
        if moved:
            timeline.append((date.fromisoformat(moved[1]), place))
        else:
            timeline[-1] = (timeline[-1][0], place)
    return timeline
