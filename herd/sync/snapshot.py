"""The first copy: all that a device may read, line by line, resumable, from one position of the feed."""

import hashlib
from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

import orjson

from herd.accounts.models import Outfit
from herd.ledger.rows import driver_rows
from herd.registry.models import Animal, Group
from herd.registry.queries.paging import by_key
from herd.sync.cards import COLUMNS, cards_for
from herd.sync.cursors import Head, head_of, read_cursor, scope_of, write_cursor
from herd.sync.feed import LISTS, list_item
from herd.sync.protocol import SCHEMA

# The first step is short, so that the device has something to do while the next is made.
FIRST_STEP = 250
STEP = 1_000

Item = dict[str, Any]


def snapshot(
    outfit: Outfit, groups: list[UUID], after: UUID | None = None, cursor: str | None = None
) -> Iterator[bytes]:
    """Return portions of lines of JSON: the beginning with its cursor, lists, cards by id, the end with its count.

    The position is taken before the first row is read: what is written meanwhile may be in the rows already,
    and comes again in the feed from the cursor on. `after` is the last animal that came of a copy that was cut off,
    and `cursor` that copy's; raises Outdated where the device may not go on with it, as when its groups have changed.
    """
    head = head_of(outfit)
    position = head.position if cursor is None else read_cursor(cursor, head, scope_of(groups))
    return _lines(_start(head, position, groups), _portions(outfit, groups, after))


def _lines(start: Item, portions: Iterable[list[Item]]) -> Iterator[bytes]:
    count, digest = 0, hashlib.sha256()
    yield _line({"start": start})
    for items in portions:
        count += len(items)
        digest.update("".join(item["id"] for item in items).encode())
        yield b"".join(map(_line, items))
    yield _line({"end": True, "count": count, "digest": digest.hexdigest()})


def _start(head: Head, position: int, groups: list[UUID]) -> Item:
    cursor = write_cursor(head, position, scope_of(groups))
    return {"epoch": str(head.epoch), "as_of": str(position), "cursor": cursor, "schema": SCHEMA}


def _portions(outfit: Outfit, groups: list[UUID], after: UUID | None) -> Iterator[list[Item]]:
    if after is None:
        for kind, model in LISTS.items():
            rows = model.objects.of(outfit)
            if kind == Group.SUBJECT and groups:
                rows = rows.filter(pk__in=groups)
            for some in by_key(rows, STEP):
                yield [list_item(kind, row.pk, row) for row in some]
    for animals in _animals(outfit, groups, after):
        yield [
            {"kind": "animal", "state": "in", "id": card["id"], "card": card} for card in cards_for(outfit, animals)
        ]


def _animals(outfit: Outfit, groups: list[UUID], after: UUID | None) -> Iterator[list[tuple[Any, ...]]]:
    """The animals' columns in short steps by id, as the driver hands them."""
    animals = Animal.objects.of(outfit).order_by("pk").values_list(*COLUMNS)
    if groups:
        animals = animals.filter(group__in=groups)
    last: Any = after
    step = FIRST_STEP
    while some := driver_rows((animals.filter(pk__gt=last) if last else animals)[:step]):
        yield some
        last, step = some[-1][0], STEP


def _line(item: Item) -> bytes:
    return orjson.dumps(item, option=orjson.OPT_APPEND_NEWLINE)
