"""A phone in the field, as small as can be: an outbox, the base copy, a cursor, clocks; and a network that fails."""

import base64
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Any
from uuid import uuid4

from django.core.cache import cache
from django.db import OperationalError, connection
from django.test import Client

from herd.values.identity import new_id

# One for all: making one reads the middleware, and with it all static files.
CLIENT = Client(raise_request_exception=False)
START = datetime(2026, 3, 14, 15, 0, tzinfo=UTC)
FINAL = frozenset({"applied", "merged", "review", "held", "quarantined"})


class Fault(StrEnum):
    """What can happen to a call."""

    NONE = "none"
    LOST = "lost"
    ANSWER_LOST = "answer lost"
    TWICE = "twice"
    CRASH = "crash"


class NetworkDown(Exception):  # noqa: N818
    """Nothing came back."""


class Broken(AssertionError):  # noqa: N818
    """The protocol's promise was broken in front of the phone."""


@contextmanager
def crashing_after(statements: int) -> Iterator[None]:
    """Let the database go away after so many statements."""
    left = statements

    def guard(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        nonlocal left
        # The end of a savepoint is not cut: in a real crash what it holds would be rolled back with the rest.
        if sql.startswith(("SAVEPOINT", "RELEASE", "ROLLBACK")):
            return execute(sql, params, many, context)
        left -= 1
        if left < 0:
            raise OperationalError("the server went away")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(guard):
        yield


@dataclass(slots=True)
class FieldPhone:
    """What one phone has; `captured` is all it ever did, by operation id, `answers` what it was told first."""

    token: str
    scope: frozenset[str]
    device: str
    outbox: list[dict[str, Any]] = field(default_factory=list)
    captured: dict[str, dict[str, Any]] = field(default_factory=dict)
    answers: dict[str, dict[str, Any]] = field(default_factory=dict)
    base: dict[tuple[str, str], dict[str, Any]] = field(default_factory=dict)
    cursor: str = ""
    epoch: str = ""
    dseq: int = 0
    steady: int = 1_000
    offset: timedelta = timedelta(0)
    boot: str = field(default_factory=lambda: str(uuid4()))

    def capture(self, kind: str, subject: dict[str, Any] | None = None, **members: Any) -> dict[str, Any]:
        """Do one thing at the chute; it is in the outbox from now on."""
        self.dseq += 1
        self.steady += 60_000
        hours = members.pop("hours", 0)
        at = START + timedelta(hours=hours, minutes=self.dseq) + self.offset
        body = {"op_id": str(new_id()), "dseq": self.dseq, "kind": kind, "at": at.isoformat(), **members}
        if subject:
            body["subject"] = subject
        self.outbox.append(body)
        self.captured[body["op_id"]] = body
        return body

    def seen(self, animal: str, name: str) -> str | None:
        """What the phone shows of a fact: the base with its own edits that are not in it yet; None for no card."""
        card = self.base.get(("animal", animal))
        shown = None if card is None else str(card[name])
        for body in self.outbox:
            if body["kind"] == "animal.edit" and body["subject"]["animal"] == animal and name in body["set"]:
                shown = body["set"][name]["to"]
        return shown

    def animals(self) -> list[str]:
        """Ids of the animals that the phone knows."""
        return sorted(key for kind, key in self.base if kind == "animal")

    def push(
        self, count: int | None = None, fault: Fault = Fault.NONE, after: int = 0, *, backwards: bool = False
    ) -> None:
        """Send a portion of the outbox; what is answered leaves it."""
        some = self._portion(count)
        given = some[::-1] if backwards and not any("group" in one for one in some) else some
        self._send(given, fault, after)

    def send_again(self, op_ids: list[str]) -> None:
        """A late duplicate of what was answered long ago."""
        self._send([self.captured[one] for one in op_ids], Fault.NONE, 0)

    def _portion(self, count: int | None) -> list[dict[str, Any]]:
        """So many of the oldest, and the rest of the last one's group."""
        cut = len(self.outbox) if count is None else min(count, len(self.outbox))
        while 0 < cut < len(self.outbox) and self.outbox[cut].get("group") not in (None, ""):
            if self.outbox[cut].get("group") != self.outbox[cut - 1].get("group"):
                break
            cut += 1
        return self.outbox[:cut]

    def _send(self, given: list[dict[str, Any]], fault: Fault, after: int) -> None:
        clock = {"now": (datetime.now(UTC) + self.offset).isoformat(), "mono_ms": self.steady, "boot": self.boot}
        body = {"ops": given, "clock": clock}
        try:
            answer = self._call("POST", "sync/push/", fault, after, body)
        except NetworkDown:
            return
        if answer.status_code != 200:
            if fault is not Fault.CRASH:
                raise Broken(f"a push of {given} was refused: {answer.content!r}")
            return
        self._take_answers(given, answer.json())

    def _take_answers(self, given: list[dict[str, Any]], told: dict[str, Any]) -> None:
        results = {one["op_id"]: one for one in told["results"]}
        for body in given:
            result = dict(results[body["op_id"]])
            if result["status"] not in FINAL:
                raise Broken(f"{result} is no final answer")
            is_replay = result.pop("replayed", False)
            first = self.answers.get(body["op_id"])
            if first is not None and told["epoch"] == self.epoch and (first != result or not is_replay):
                raise Broken(f"{first} was answered first, and {result} when it came again")
            self.answers[body["op_id"]] = result
        done = set(results)
        self.outbox = [one for one in self.outbox if one["op_id"] not in done]
        self._note_epoch(told["epoch"])

    def _note_epoch(self, epoch: str) -> None:
        """A record that was put back lacks what was acknowledged since: ask, and put it into the outbox again."""
        if not self.epoch or epoch == self.epoch:
            self.epoch = epoch
            return
        acknowledged = [one for one in self.captured if one in self.answers]
        known = self._call("POST", "sync/known/", Fault.NONE, 0, {"op_ids": acknowledged}).json()["known"]
        here = {one["op_id"] for one in known}
        waiting = {one["op_id"] for one in self.outbox}
        lost = [one for one in acknowledged if one not in here]
        for one in lost:
            self.answers.pop(one)
        again = [self.captured[one] for one in lost if one not in waiting]
        self.outbox = sorted(again + self.outbox, key=lambda one: one["dseq"])
        self.epoch, self.cursor = epoch, ""

    def pull(self, fault: Fault = Fault.NONE, *, limit: int = 500, pages: int = 100) -> list[str]:
        """Read on from the cursor; return the ids of the animals that came."""
        came: list[str] = []
        for _ in range(pages):
            if not self.cursor:
                self.first_copy()
                return came
            try:
                answer = self._call("GET", f"sync/changes/?cursor={self.cursor}&limit={limit}", fault, 3)
            except NetworkDown:
                return came
            if answer.status_code in {409, 410}:
                self.cursor = ""
                continue
            if answer.status_code != 200:
                if fault is not Fault.CRASH:
                    raise Broken(f"a pull was refused: {answer.content!r}")
                return came
            page = answer.json()
            self._keep(page)
            came += [one["id"] for one in page["items"] if one["kind"] == "animal"]
            if not page["more"]:
                return came
        return came

    def _keep(self, page: dict[str, Any]) -> None:
        """Keep the items and the cursor in one step."""
        if page["epoch"] == self.epoch and position(page["cursor"]) < position(self.cursor):
            raise Broken("a cursor went back")
        for item in page["items"]:
            self._take(item)
        self.cursor = page["cursor"]

    def _take(self, item: dict[str, Any]) -> None:
        key = (item["kind"], item["id"])
        if item["state"] != "in":
            self.base.pop(key, None)
            return
        if item["kind"] == "animal" and self.scope and item["card"]["group"] not in self.scope:
            raise Broken(f"{item} is out of the scope of this phone")
        self.base[key] = item["card"]

    def first_copy(self, cut: int | None = None) -> None:
        """Take the first copy; where it is cut off after so many lines, go on from the last animal."""
        lines = self._copy_lines("sync/snapshot/")
        start = lines[0]["start"]
        if cut is not None and cut < len(lines):
            lines = self._resumed(lines[:cut], start)
        self.base = {}
        for item in lines[1:]:
            if "kind" in item:
                self._take(item)
        self._note_epoch(start["epoch"])
        self.cursor, self.epoch = start["cursor"], start["epoch"]

    def _resumed(self, lines: list[dict[str, Any]], start: dict[str, Any]) -> list[dict[str, Any]]:
        last = [one["id"] for one in lines[1:] if one.get("kind") == "animal"]
        if not last:
            return self._copy_lines("sync/snapshot/")
        rest = self._copy_lines(f"sync/snapshot/?after={last[-1]}&cursor={start['cursor']}")
        return lines + rest[1:]

    def _copy_lines(self, path: str) -> list[dict[str, Any]]:
        answer = self._call("GET", path, Fault.NONE, 0)
        if answer.status_code != 200:
            raise Broken(f"a first copy was refused: {answer.content!r}")
        return [json.loads(line) for line in b"".join(answer.streaming_content).decode().splitlines()]

    def _call(self, method: str, path: str, fault: Fault, after: int, body: Any = None) -> Any:
        if fault is Fault.LOST:
            raise NetworkDown
        if fault is Fault.CRASH:
            with crashing_after(after):
                return self._over(method, path, body)
        answer = self._over(method, path, body)
        if fault is Fault.TWICE:
            answer = self._over(method, path, body)
        if fault is Fault.ANSWER_LOST:
            raise NetworkDown
        return answer

    def _over(self, method: str, path: str, body: Any) -> Any:
        cache.clear()
        content = {"data": json.dumps(body), "content_type": "application/json"} if body is not None else {}
        return CLIENT.generic(method, f"/api/v1/{path}", headers={"Authorization": f"Bearer {self.token}"}, **content)


def position(cursor: str) -> int:
    """The place in the feed that a cursor names; a phone never looks inside, a test may."""
    return int(json.loads(base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4)))["q"]) if cursor else -1
