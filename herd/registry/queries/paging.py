"""Reads large tables in short steps by key, so that memory stays flat."""

from collections.abc import Iterator
from typing import Any


def by_key(rows: Any, step: int) -> Iterator[list[Any]]:
    """Yield lists of at most `step` rows in the order of their ids."""
    last = None
    while True:
        some = list((rows.filter(pk__gt=last) if last else rows).order_by("pk")[:step])
        if not some:
            return
        yield some
        last = some[-1].pk
