"""Shows on top of a card what was done here and is not in it yet: an optimistic view, marked as such."""

import copy as copies
import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from herd.client.copy import Card
from herd.client.store import Store
from herd.values.eventkinds import EVENT_KINDS, LEAVING, MEDICINE_KINDS

LAST_WEIGHTS = 3
# Of what waits for a person, only what can't be in the card in another way is shown on top.
PENDING = """
SELECT op_id, kind, who, status, body FROM operation
WHERE (status = 'unsent' OR (status IN ('applied', 'merged') AND NOT is_pulled)
    OR (status IN ('held', 'review') AND kind IN ('event', 'event.void', 'event.correct', 'animal.register')))
"""


@dataclass(frozen=True, slots=True)
class Pending:
    """An operation that the cards do not show yet."""

    op_id: str
    kind: str
    who: str
    status: str
    body: Mapping[str, Any]

    @property
    def data(self) -> dict[str, Any]:
        """What it says."""
        return dict(self.body.get("data") or {})


def pending_of(store: Store, whose: Sequence[str]) -> list[Pending]:
    """What is pending for these names of one animal, oldest first."""
    marks = ",".join("?" for _ in whose)
    rows = store.run(f"{PENDING} AND who IN ({marks}) ORDER BY dseq", list(whose))
    return [_pending(row) for row in rows]


def all_pending(store: Store) -> dict[str, list[Pending]]:
    """Everything that is pending, by whose it is, oldest first."""
    found: dict[str, list[Pending]] = defaultdict(list)
    for row in store.run(f"{PENDING} ORDER BY dseq"):
        found[row[2]].append(_pending(row))
    return found


def _pending(row: Sequence[str]) -> Pending:
    return Pending(row[0], row[1], row[2], row[3], json.loads(row[4]))


def shown(card: Card | None, pending: Iterable[Pending], zone: tzinfo | None) -> Card | None:
    """The card with what is pending on top; None where there is neither a card nor a registration."""
    seen = copies.deepcopy(card)
    events: dict[str, tuple[Pending, dict[str, Any]]] = {}
    count = 0
    for one in pending:
        if one.kind == "animal.register" and seen is None:
            seen = _registered(one)
        count += 1
        if one.kind.startswith("event"):
            _follow(events, one)
        elif seen is not None:
            OTHERS[one.kind](seen, one)
    if seen is None:
        return None
    seen["pending"] = []
    for one, event in events.values():
        _put_event(seen, one, event, zone)
    seen["unsent"] = count
    return seen


def _follow(events: dict[str, tuple[Pending, dict[str, Any]]], one: Pending) -> None:
    """Follow an event through its corrections until it is voided."""
    if one.kind == "event":
        events[one.op_id] = (one, one.data)
        return
    before = events.pop(str(one.data.get("event")), None)
    if before is not None and one.kind == "event.correct":
        first, event = before
        events[one.op_id] = (first, {**event, "data": one.data.get("data", {})})


def _put_event(card: Card, one: Pending, event: Mapping[str, Any], zone: tzinfo | None) -> None:
    kind, data = str(event["kind"]), dict(event.get("data") or {})
    on = datetime.fromisoformat(one.body["at"]).astimezone(zone).date().isoformat()
    card["pending"].append({"op_id": one.op_id, "kind": kind, "on": on, "data": data, "status": one.status})
    if kind == "weight":
        weight = {"on": on, "weight": data.get("weight"), "unit": data.get("unit"), "status": one.status}
        card["weights"] = sorted([weight, *card["weights"]], key=lambda each: str(each["on"]), reverse=True)
        card["weights"] = card["weights"][:LAST_WEIGHTS]
    elif kind == "pregnancy_check":
        last = card["pregnancy"]
        if last is None or str(last["on"]) <= on:
            card["pregnancy"] = {"on": on, "result": data.get("result"), "days": data.get("days"), "status": one.status}
    elif kind in MEDICINE_KINDS:
        # What it holds the animal for is worked out by the server, from the label's days: until then it is held.
        card["in_withdrawal"], card["free_on"] = True, None
    elif EVENT_KINDS[kind].effect in LEAVING and one.status != "review":
        card["status"] = str(EVENT_KINDS[kind].effect)


def _registered(one: Pending) -> Card:
    facts = dict.fromkeys(
        ("location", "entered_on", "born_on", "born_precision", "breed", "coat", "origin", "dam", "sire")
    )
    given = one.data.get("facts", {})
    standing = {"status": "on_hand", "status_since": None, "group": one.data.get("group")}
    latest: Card = {"weights": [], "pregnancy": None, "in_withdrawal": False, "free_on": None}
    about = {"id": one.body["subject"]["animal"], "class": given.get("entry_class"), "tags": []}
    return {**about, **standing, **facts, **given, **latest}


def _register(card: Card, one: Pending) -> None:
    worn = {(tag["kind"], tag["number"]) for tag in card["tags"]}
    card["tags"] += [tag for tag in one.data.get("tags", []) if (tag["kind"], tag["number"]) not in worn]


def _edit(card: Card, one: Pending) -> None:
    card.update({name: change["to"] for name, change in one.body.get("set", {}).items()})


def _tag_on(card: Card, one: Pending) -> None:
    data = one.data
    card["tags"].append({"kind": data["kind"], "number": data["number"], "colour": data.get("colour", "")})


def _tag_off(card: Card, one: Pending) -> None:
    data = one.data
    worn = [tag for tag in card["tags"] if (tag["kind"], tag["number"]) == (data["kind"], data["number"])]
    card["tags"] = [tag for tag in card["tags"] if tag not in worn]
    if data.get("new_number"):
        colour = data.get("colour") or (worn[0]["colour"] if worn else "")
        card["tags"].append({"kind": data["kind"], "number": data["new_number"], "colour": colour})


def _move(card: Card, one: Pending) -> None:
    card["group"] = one.data["group"]


OTHERS: dict[str, Callable[[Card, Pending], None]] = {
    "animal.register": _register,
    "animal.edit": _edit,
    "tag.on": _tag_on,
    "tag.off": _tag_off,
    "move": _move,
}
