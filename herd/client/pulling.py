"""Pulls the herd: the first copy, then what changed since; nothing is shown before it is whole."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from herd.client.copy import install, install_changes, stage, unstage
from herd.client.faults import Offline, Refused
from herd.client.pushing import Delivery
from herd.client.store import Store
from herd.client.wire import Params, Wire

OUTDATED = frozenset({"epoch-changed", "scope-changed", "schema-changed", "cursor-expired"})
STEP = 500
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
        if not self.store.get("cursor"):
            self._copy()
        try:
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
        with self.store.writing():
            unstage(self.store)
            self.store.put(cursor="", staged_cursor="")

    def _changes(self) -> None:
        more = True
        while more:
            cursor = self.store.get("staged_cursor") or self.store.get("cursor")
            page = self.wire.get("sync/changes/", {"cursor": cursor, "limit": PAGE})
            if not isinstance(page.get("items"), list) or "cursor" not in page:
                raise Offline("The server's answer does not fit what was asked.")
            more = bool(page.get("more"))
            with self.store.writing():
                stage(self.store, page["items"])
                self.store.put(server_time=str(page["server_time"]))
                if more:
                    self.store.put(staged_cursor=page["cursor"])
                else:
                    install_changes(self.store)
                    self.store.put(cursor=page["cursor"], staged_cursor="")

    def _copy(self) -> None:
        """Take the first copy, from where an earlier one was cut off; it replaces what was shown."""
        after = self.store.get("copy_after")
        params: Params = {"after": after, "as_of": self.store.get("copy_as_of")} if after else {}
        with self.wire.lines("sync/snapshot/", params) as lines:
            start = _read(next(lines, b""), "start")
            if not after:
                self._begin(start)
            elif start["cursor"] != self.store.get("copy_cursor"):
                self._begin({"cursor": "", "as_of": ""})
                raise Offline("The first copy can't go on where it was cut off; it begins anew.")
            self._stage(lines)
        self.delivery.epoch = str(start["epoch"])
        self.delivery.run()

    def _begin(self, start: dict[str, Any]) -> None:
        with self.store.writing():
            unstage(self.store)
            self.store.put(copy_cursor=start["cursor"], copy_as_of=str(start["as_of"]), copy_after="")

    def _stage(self, lines: Iterator[bytes]) -> None:
        """Stage the lines step by step, and show them once the end has come with the right count and digest."""
        step: list[dict[str, Any]] = []
        count, digest, end = 0, hashlib.sha256(), None
        try:
            for item in map(_read, lines):
                if item.get("end"):
                    end = item
                    break
                count += 1
                digest.update(str(item["id"]).encode())
                step.append(item)
                if len(step) == STEP:
                    self._keep(step)
                    step = []
            if end is None:
                raise Offline(TORN)
        except Offline:
            self._keep(step)
            raise
        self._finish(step, end, {"end": True, "count": count, "digest": digest.hexdigest()})

    def _keep(self, step: list[dict[str, Any]]) -> None:
        animals = [str(one["id"]) for one in step if one["kind"] == "animal"]
        with self.store.writing():
            stage(self.store, step)
            if animals:
                self.store.put(copy_after=animals[-1])

    def _finish(self, step: list[dict[str, Any]], told: dict[str, Any], counted: dict[str, Any]) -> None:
        if told != counted:
            self._begin({"cursor": "", "as_of": ""})
            raise Offline("The first copy did not come whole; it begins anew.")
        with self.store.writing():
            stage(self.store, step)
            install(self.store)
            cursor = self.store.get("copy_cursor")
            self.store.put(cursor=cursor, staged_cursor="", copy_cursor="", copy_as_of="", copy_after="")


def _read(line: bytes, member: str = "") -> dict[str, Any]:
    try:
        found = json.loads(line)
        return dict(found[member] if member else found)
    except (ValueError, KeyError, TypeError) as problem:
        raise Offline(TORN) from problem
