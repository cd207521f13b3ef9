"""The first copy: all that a device may read, line by line, resumable, from one position of the feed."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.registry.models import Animal, Group
from herd.registry.queries.paging import by_key
from herd.sync.cards import cards_for
from herd.sync.cursors import Head, head_of, scope_of, write_cursor
from herd.sync.feed import LISTS, list_item
from herd.sync.protocol import SCHEMA

STEP = 500


def snapshot(outfit: Outfit, groups: list[UUID], after: UUID | None = None, as_of: int | None = None) -> Iterator[str]:
    """Yield lines of JSON: the beginning with its cursor, lists, cards by id, and the end with count and digest.

    The position is taken before the first row is read: what is written meanwhile may be in the rows already,
    and comes again in the feed from the cursor on. `after` and `as_of` resume one that was cut off.
    """
    head = head_of(outfit)
    position = head.position if as_of is None else min(as_of, head.position)
    yield _line({"start": _start(head, position, groups)})
    count, digest = 0, hashlib.sha256()
    for item in _items(outfit, groups, after):
        count += 1
        digest.update(item["id"].encode())
        yield _line(item)
    yield _line({"end": True, "count": count, "digest": digest.hexdigest()})


def _start(head: Head, position: int, groups: list[UUID]) -> dict[str, Any]:
    cursor = write_cursor(head, position, scope_of(groups))
    return {"epoch": str(head.epoch), "as_of": str(position), "cursor": cursor, "schema": SCHEMA}


def _items(outfit: Outfit, groups: list[UUID], after: UUID | None) -> Iterator[dict[str, Any]]:
    if after is None:
        for kind, model in LISTS.items():
            rows = model.objects.of(outfit)
            if kind == Group.SUBJECT and groups:
                rows = rows.filter(pk__in=groups)
            for some in by_key(rows, STEP):
                yield from (list_item(kind, row.pk, row) for row in some)
    animals = Animal.objects.of(outfit)
    if groups:
        animals = animals.filter(group__in=groups)
    if after is not None:
        animals = animals.filter(pk__gt=after)
    for some in by_key(animals, STEP):
        cards = cards_for(outfit, some)
        yield from (
            {"kind": "animal", "state": "in", "id": str(key), "card": card} for key, card in sorted(cards.items())
        )


def _line(item: dict[str, Any]) -> str:
    return json.dumps(item, separators=(",", ":")) + "\n"
