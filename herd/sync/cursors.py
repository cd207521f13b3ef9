"""Cursors: a place in the feed for one scope, opaque to the device."""

import base64
import hashlib
import json
from dataclasses import dataclass
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import FeedCounter
from herd.sync.protocol import SCHEMA


class Outdated(ValueError):  # noqa: N818
    """The cursor can't be read on from; `word` says why, and the device takes a first copy anew."""

    def __init__(self, word: str, reason: str) -> None:
        super().__init__(reason)
        self.word = word


@dataclass(frozen=True, slots=True)
class Head:
    """The outfit's feed now: the epoch, which a restored backup changes, and the last position."""

    epoch: UUID
    position: int


def head_of(outfit: Outfit) -> Head:
    """Where the outfit's feed is now."""
    counter, _ = FeedCounter.objects.get_or_create(outfit=outfit)
    return Head(counter.epoch, counter.position)


def scope_of(groups: list[UUID]) -> str:
    """A short name of the groups that a device may read; empty where it may read all."""
    if not groups:
        return ""
    return hashlib.sha256(",".join(sorted(map(str, groups))).encode()).hexdigest()[:16]


def write_cursor(head: Head, position: int, scope: str) -> str:
    """The cursor of a position."""
    plain = json.dumps({"v": 1, "e": str(head.epoch), "q": position, "s": scope, "x": SCHEMA}).encode()
    return base64.urlsafe_b64encode(plain).decode().rstrip("=")


def read_cursor(text: str, head: Head, scope: str) -> int:
    """The position of a cursor; raises Outdated where it belongs to another epoch, scope or shape."""
    try:
        found = json.loads(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))
        position = int(found["q"])
        told = (found["v"], found["e"], found["s"], found["x"])
    except (ValueError, KeyError, TypeError) as problem:
        raise Outdated("cursor-expired", "That is no cursor of this installation.") from problem
    if told[1] != str(head.epoch):
        raise Outdated("epoch-changed", "The record was restored from a backup since.")
    if told[2] != scope:
        raise Outdated("scope-changed", "The groups that this device may read have changed.")
    if told[0] != 1 or told[3] != SCHEMA:
        raise Outdated("schema-changed", "Cards have another shape now.")
    if not 0 <= position <= head.position:
        raise Outdated("cursor-expired", "The cursor lies ahead of the record.")
    return position
