"""Numbers typed or pasted, one to a line: the animals they mean, and the lines that mean none with their reason."""

from dataclasses import dataclass
from uuid import UUID

from herd.accounts.models import Outfit
from herd.office.today import today_of
from herd.registry.queries.whose import whose

MOST_LINES = 5_000


@dataclass(frozen=True, slots=True)
class UnreadLine:
    """A line that names no animal: its place from 1, its text, and why."""

    line: int
    text: str
    reason: str


@dataclass(frozen=True, slots=True)
class TypedNumbers:
    """What the lines came to; an animal named twice is there once."""

    ids: tuple[UUID, ...]
    unread: tuple[UnreadLine, ...]


def read_numbers(outfit: Outfit, text: str) -> TypedNumbers:
    """Read EIDs and visual tags, one to a line; of more lines than MOST_LINES the rest is said to be unread."""
    lines = [(place, line.strip()) for place, line in enumerate(text.splitlines(), start=1) if line.strip()]
    asked, rest = lines[:MOST_LINES], lines[MOST_LINES:]
    found = whose(outfit, [line for _, line in asked], today_of(outfit))
    ids = dict.fromkeys(one.animal_id for one in found if one.animal_id)
    unread = [
        UnreadLine(place, line[:80], one.reason)
        for (place, line), one in zip(asked, found, strict=True)
        if one.animal_id is None
    ]
    unread += [UnreadLine(place, line[:80], f"Only {MOST_LINES} lines are read at once.") for place, line in rest]
    return TypedNumbers(tuple(ids), tuple(unread))
