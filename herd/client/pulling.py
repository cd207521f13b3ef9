"""Pulls the herd: the first copy, then what changed since; nothing is shown before it is whole."""

import hashlib
import json
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from herd.client.copy import Item, install, install_changes, read_item, stage, unstage
from herd.client.faults import Offline, Refused
from herd.client.pushing import Delivery
from herd.client.store import Store
from herd.client.wire import Params, Wire

OUTDATED = frozenset({"epoch-changed", "scope-changed", "schema-changed", "cursor-expired"})
# What came of a first copy is kept at the latest after so many items or seconds, to go on from there if it is cut off.
STEP = 20_000
STEP_SECONDS = 5.0
PAGE = 500
TORN = "The first copy was cut off; it goes on where it was."


@dataclass(slots=True)
class Pull:
    """One pull. A cursor is always stored in the transaction that stores what it stands for."""

    store: Store
    wire: Wire
    delivery: Delivery

    def run(self) -> None:
        """Bring the local copy up to date; raises Offline, Refused, Blocked, and goes on from there next time."""
        try:
            if not self.store.get("cursor"):
                self._copy()
            self._changes()
        except Refused as problem:
            if problem.word not in OUTDATED:
                raise
            # What was captured goes first: the outbox outlives every copy.
            self.delivery.run_in_doubt()
            self._forget_place()
            self._copy()
            self._changes()

    def _forget_place(self) -> None:
        with self.store.writing(durably=False):
            unstage(self.store)
            self.store.put(cursor="", staged_cursor="", copy_cursor="", copy_after="")

    def _changes(self) -> None:
        more = True
        while more:
            cursor = self.store.get("staged_cursor") or self.store.get("cursor")
            page = self.wire.get("sync/changes/", {"cursor": cursor, "limit": PAGE})
            if not isinstance(page.get("items"), list) or "cursor" not in page:
                raise Offline("The server's answer does not fit what was asked.")
            more, items = bool(page.get("more")), [_item(one) for one in page["items"]]
            with self.store.writing(durably=False):
                if more:
                    stage(self.store, items)
                    self.store.put(staged_cursor=page["cursor"], server_time=str(page["server_time"]))
                else:
                    install_changes(self.store, items)
                    self.store.put(cursor=page["cursor"], staged_cursor="", server_time=str(page["server_time"]))

    def _copy(self) -> None:
        """Take the first copy, from where an earlier one was cut off; it replaces what was shown."""
        after, cursor = self.store.get("copy_after"), self.store.get("copy_cursor")
        params: Params = {"after": after, "cursor": cursor} if after else {}
        with self.wire.lines("sync/snapshot/", params) as lines:
            start = _start(next(lines, b""))
            if not after:
                self._begin(start["cursor"])
            elif start["cursor"] != cursor:
                self._begin("")
                raise Offline("The first copy can't go on where it was cut off; it begins anew.")
            self._take(lines)
        self.delivery.epoch = str(start["epoch"])
        self.delivery.run()

    def _begin(self, cursor: str) -> None:
        with self.store.writing(durably=False):
            unstage(self.store)
            self.store.put(copy_cursor=cursor, copy_after="")

    def _take(self, lines: Iterator[bytes]) -> None:
        """Take lines, and show them once the end has come with the right count and digest."""
        copy = _Copy()
        try:
            for line in lines:
                found = _read(line)
                if found.get("end"):
                    self._finish(copy, found)
                    return
                copy.take(_item(found, line.decode()))
                if copy.is_long:
                    self._keep(copy)
            raise Offline(TORN)
        except Offline:
            self._keep(copy)
            raise

    def _keep(self, copy: "_Copy") -> None:
        animals = [one.id for one in copy.items if one.kind == "animal"]
        with self.store.writing(durably=False):
            stage(self.store, copy.items)
            if animals:
                self.store.put(copy_after=animals[-1])
        copy.begin_step()

    def _finish(self, copy: "_Copy", told: dict[str, Any]) -> None:
        if told != copy.end:
            copy.begin_step()
            self._begin("")
            raise Offline("The first copy did not come whole; it begins anew.")
        with self.store.writing(durably=False):
            install(self.store, copy.items)
            cursor = self.store.get("copy_cursor")
            self.store.put(cursor=cursor, staged_cursor="", copy_cursor="", copy_after="")


@dataclass(slots=True)
class _Copy:
    """What came of a first copy since it was kept last, and what its end must say."""

    items: list[Item] = field(default_factory=list)
    count: int = 0
    digest: Any = field(default_factory=hashlib.sha256)
    began: float = field(default_factory=time.monotonic)

    def take(self, item: Item) -> None:
        """Count an item in."""
        self.count += 1
        self.digest.update(item.id.encode())
        self.items.append(item)

    @property
    def is_long(self) -> bool:
        """Whether enough has come to be kept."""
        return len(self.items) >= STEP or time.monotonic() - self.began >= STEP_SECONDS

    @property
    def end(self) -> dict[str, Any]:
        """What the last line must be."""
        return {"end": True, "count": self.count, "digest": self.digest.hexdigest()}

    def begin_step(self) -> None:
        """Begin anew after what came was kept."""
        self.items, self.began = [], time.monotonic()


def _item(found: dict[str, Any], line: str = "") -> Item:
    try:
        return read_item(found, line)
    except (ValueError, KeyError, TypeError) as problem:
        raise Offline("The server's answer does not fit what was asked.") from problem


def _read(line: bytes) -> dict[str, Any]:
    try:
        return dict(json.loads(line))
    except (ValueError, TypeError) as problem:
        raise Offline(TORN) from problem


def _start(line: bytes) -> dict[str, Any]:
    try:
        return dict(_read(line)["start"])
    except (KeyError, TypeError, ValueError) as problem:
        raise Offline(TORN) from problem
