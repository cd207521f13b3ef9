"""Sends field files into a processing day, each once: the office is asked first whether it has the bytes."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any
from urllib.parse import parse_qsl, urlsplit
from uuid import UUID

from herd.client.faults import Offline
from herd.client.wire import Params, Wire

BUSY_STATES = frozenset({"working", "applying"})
LONGEST_NAME = 120


@dataclass(frozen=True, slots=True)
class GivenFile:
    """A field file as it lies here, the day that was worked, and the group where one is known."""

    name: str
    content: bytes
    worked_on: date
    group: UUID | None = None


def send_file(wire: Wire, given: GivenFile, device: str) -> bool:
    """Send the file; False where a day of that date has its bytes already, also by an answer that was lost.

    Raises Offline while the device's day is being read, Refused and Blocked.
    """
    digest = hashlib.sha256(given.content).hexdigest()
    named = f"Files of {device}"[:LONGEST_NAME]
    ours: dict[str, Any] | None = None
    for day in _days(wire, given.worked_on):
        if any(one["sha256"] == digest for one in _items(wire, f"days/{day['id']}/files/", {})):
            return False
        group = str(given.group) if given.group else None
        ours = day if day["name"] == named and day["group"] == group else ours
    if ours is None:
        fields = {"worked_on": given.worked_on.isoformat(), "name": named}
        fields |= {"group": str(given.group)} if given.group else {}
        wire.post_file("days/", fields, given.name, given.content)
    elif ours["state"] in BUSY_STATES:
        raise Offline("The office reads what was sent before; the file goes next.")
    else:
        wire.post_file(f"days/{ours['id']}/files/add/", {}, given.name, given.content)
    return True


def _days(wire: Wire, day: date) -> list[dict[str, Any]]:
    return list(_items(wire, "days/", {"worked_from": day.isoformat(), "worked_to": day.isoformat()}))


def _items(wire: Wire, path: str, asked: Params) -> Iterator[dict[str, Any]]:
    """The rows of a list, page by page."""
    more: Params | None = asked
    while more is not None:
        page = wire.get(path, more)
        yield from page["items"]
        # The place alone is taken from the next address, so that the token goes nowhere else.
        more = dict(parse_qsl(urlsplit(page["next"]).query)) if page["next"] else None
