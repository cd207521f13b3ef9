"""Short ways to make operations as a device does."""

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

from herd.values.identity import new_id

AT = datetime(2026, 3, 14, 15, 0, tzinfo=UTC)


def operation(kind: str, subject: dict[str, Any] | None = None, *, minute: int = 0, **more: Any) -> dict[str, Any]:
    """One operation, dated minutes after the working began."""
    at = (AT + timedelta(minutes=minute)).isoformat()
    body = {"op_id": str(new_id()), "dseq": minute, "kind": kind, "at": at, **more}
    return body | ({"subject": subject} if subject else {})


def weighing(subject: dict[str, Any], weight: str = "1180", **more: Any) -> dict[str, Any]:
    """A weight of the animal."""
    data = {"kind": "weight", "data": {"weight": weight, "unit": "lb"}}
    return operation("event", subject, data=data, **more)


def edit(animal: UUID, **changes: tuple[Any, Any]) -> dict[str, Any]:
    """Facts changed, each from what was seen to what shall be."""
    wanted = {name: {"from": seen, "to": to} for name, (seen, to) in changes.items()}
    return operation("animal.edit", {"animal": str(animal)}, set=wanted)


def registration(animal: UUID, *tags: dict[str, Any], **facts: Any) -> dict[str, Any]:
    """An animal made on the device."""
    data = {"facts": {"entry_class": "cow", **facts}, "tags": list(tags)}
    return operation("animal.register", {"animal": str(animal)}, data=data)


def push(phone: Any, *operations: Any, **envelope: Any) -> list[dict[str, Any]]:
    """Push operations and return the answers."""
    answer = phone.post("sync/push/", {"ops": list(operations), **envelope})
    assert answer.status_code == 200, answer.content
    results: list[dict[str, Any]] = answer.json()["results"]
    return results


def statuses(results: list[dict[str, Any]]) -> list[str]:
    return [one["status"] for one in results]


def first_copy(phone: Any) -> tuple[str, dict[str, dict[str, Any]]]:
    """The first copy: its cursor, and the cards by id."""


    lines = b"".join(phone.get("sync/snapshot/").streaming_content).decode().splitlines()
    start, *items, end = [json.loads(line) for line in lines]
    assert end["end"] is True
    assert end["count"] == len(items)
    return start["start"]["cursor"], {one["id"]: one["card"] for one in items if one["kind"] == "animal"}


def pull(phone: Any, cursor: str, **more: Any) -> tuple[str, list[dict[str, Any]]]:
    """All pages from a cursor on: the last cursor, and the items in their order."""
    items: list[dict[str, Any]] = []
    while True:
        extra = "".join(f"&{key}={value}" for key, value in more.items())
        page = phone.get(f"sync/changes/?cursor={cursor}{extra}").json()
        items += page["items"]
        cursor = page["cursor"]
        if not page["more"]:
            return cursor, items


DAY = date(2026, 3, 14)
