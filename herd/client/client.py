"""The client as scripts use it: capture, deliver, pull, look up."""

import json
import random
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, Self
from uuid import UUID

import httpx

from herd.client import capture, lookup, outbox
from herd.client.clocks import Clocks, clocks_of_machine
from herd.client.copy import Card, rows_of
from herd.client.enrolment import enrol, learn_outfit
from herd.client.faults import NotHere, Unfit
from herd.client.fieldfiles import GivenFile, send_file
from herd.client.overlay import Pending
from herd.client.pulling import Pull
from herd.client.pushing import Delivery
from herd.client.retrying import retried
from herd.client.store import Store
from herd.client.subjects import Subject
from herd.client.wire import Wire
from herd.values.identity import new_id


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a client stands in, for tests and unusual machines: clocks, chance, the way to wait, the way to call."""

    clocks: Clocks
    sleep: Callable[[float], None] = time.sleep
    chance: Callable[[], float] = random.random
    transport: httpx.BaseTransport | None = None


def here() -> Surroundings:
    """This machine."""
    return Surroundings(clocks_of_machine())


class Client:
    """One enrolled device with its file. For one thread; several processes may share the file.

    Each call that captures something returns when it is stored durably, and not before; it needs no server. What it
    raises is a ClientError: Unfit where nothing was stored because it can't be used, NotStored where the disk failed.
    """

    def __init__(self, store: Store, surroundings: Surroundings | None = None) -> None:
        self._store = store
        self._around = surroundings or here()
        self._wire = Wire(store.get("url"), lambda: store.get("token"), self._around.transport)
        self._group: list[outbox.Draft] | None = None

    @classmethod
    def enrol(cls, url: str, code: str, store_path: Path | str, surroundings: Surroundings | None = None) -> Self:
        """Spend a one-time code of the office; a file that is there keeps its outbox and gets the new token."""
        store = Store.make(Path(store_path))
        around = surroundings or here()
        enrol(store, url, code, around.transport)
        return cls(store, around)

    @classmethod
    def open(cls, store_path: Path | str, surroundings: Surroundings | None = None) -> Self:
        """Open the file of an enrolled device; raises NotHere, NotStored."""
        store = Store.open(Path(store_path))
        if not store.get("token"):
            store.close()
            raise NotHere("This device is not enrolled yet.")
        return cls(store, surroundings)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; nothing is waited for."""
        self._wire.close()
        self._store.close()

    # Capture

    def record(self, kind: str, subject: Subject, data: Mapping[str, Any], at: datetime | None = None) -> UUID:
        """Record an event; the id that is returned names it, also in `void` and `correct`."""
        return self._add(capture.event(kind, subject, data, self._when(at)))

    def take_over(
        self, op_id: UUID, kind: str, subject: Subject, data: Mapping[str, Any], clock: Mapping[str, object]
    ) -> None:
        """Record an event that another store has numbered and timed; under an id that is here already, nothing.

        `clock` is what `capture.timed` gave when it happened.
        """
        if not self._store.run("SELECT 1 FROM operation WHERE op_id = ?", [str(op_id)]).fetchone():
            self._add(replace(capture.event(kind, subject, data, clock), op_id=op_id))

    def weigh(self, subject: Subject, weight: str, unit: str = "", at: datetime | None = None) -> UUID:
        """Record a weight, in the outfit's unit where none is said and the outfit's is known."""
        data = {"weight": str(weight), "unit": unit or self._store.get("weight_unit")}
        return self.record("weight", subject, data, at)

    def register(
        self, tags: Sequence[Mapping[str, str]], group: UUID | str = "", at: datetime | None = None, **facts: Any
    ) -> UUID:
        """Register an animal that is not in the record, and return its id; facts such as `entry_class` by name."""
        key = lookup.group_called(self._store, group) if group else ""
        draft = capture.registration(tags, facts, key, self._when(at))
        self._add(draft)
        return UUID(draft.who.partition(":")[2])

    def edit(self, animal: Subject, at: datetime | None = None, **changes: Any) -> UUID:
        """Change facts from what the card here shows; what another has changed meanwhile is put to a person."""
        found = self.animal(lookup.the_animal(self._store, animal))
        if found is None:
            raise NotHere("An edit starts from what the card shows, and that animal's card is not here.")
        return self._add(capture.edit(found, changes, self._when(at)))

    def put_on(self, animal: Subject, kind: str, number: str, colour: str = "", second_reason: str = "") -> UUID:
        """Put a tag on an animal; a second EID needs its reason."""
        tag = {"kind": kind, "number": number, "colour": colour}
        key = lookup.the_animal(self._store, animal)
        return self._add(capture.tag_on(key, tag, second_reason, self._when(None)))

    def take_off(self, animal: Subject, kind: str, number: str, ended: str = "lost") -> UUID:
        """Say that a tag is off an animal."""
        return self.replace_tag(animal, {"kind": kind, "number": number}, "", ended)

    def replace_tag(self, animal: Subject, old: Mapping[str, str], new_number: str, ended: str = "lost") -> UUID:
        """Replace a tag, `old` with its kind and number, by one of the same kind."""
        key = lookup.the_animal(self._store, animal)
        return self._add(capture.tag_off(key, old, new_number, ended, self._when(None)))

    def move(self, animal: Subject, group: UUID | str, at: datetime | None = None) -> UUID:
        """Put an animal into a group, given by its id or its name."""
        return self._add(capture.move(animal, lookup.group_called(self._store, group), self._when(at)))

    def void(self, event: UUID, reason: str = "") -> UUID:
        """Take back an event that did not happen."""
        who = self._whose(event)
        return self._add(capture.about_event("event.void", event, {"reason": reason}, who, self._when(None)))

    def correct(self, event: UUID, kind: str, data: Mapping[str, Any], reason: str = "") -> UUID:
        """Put what should have stood there in an event's place; the id that is returned names the new one."""
        said = {"data": capture.checked(kind, data), "reason": reason}
        return self._add(capture.about_event("event.correct", event, said, self._whose(event), self._when(None)))

    @contextmanager
    def grouped(self) -> Iterator[None]:
        """All that is captured inside goes whole or not at all; it is stored at the end, nothing of it on an error."""
        if self._group is not None:
            raise Unfit("A group of operations can't stand in another.")
        self._group = []
        try:
            yield
            drafts = self._group
        finally:
            self._group = None
        if drafts:
            outbox.add(self._store, drafts, str(new_id()))

    def _add(self, draft: outbox.Draft) -> UUID:
        if self._group is not None:
            self._group.append(draft)
        else:
            outbox.add(self._store, [draft])
        return draft.op_id

    def _when(self, at: datetime | None) -> dict[str, object]:
        return capture.timed(self._around.clocks, at)

    def _whose(self, event: UUID) -> str:
        row = self._store.run("SELECT who FROM operation WHERE op_id = ?", [str(event)]).fetchone()
        return row[0] if row else f"event:{event}"

    # Deliver and pull

    def push(self) -> int:
        """Deliver the outbox once; the number of operations answered. Raises Offline, Refused, Blocked."""
        with self._store.alone():
            delivery = self._delivery()
            delivery.run()
            return delivery.sent

    def pull(self) -> None:
        """Bring the local copy up to date once. Raises Offline, Refused, Blocked."""
        with self._store.alone():
            self._pull(self._delivery())

    def sync(self, tries: int = 6) -> int:
        """Push, then pull, waiting and trying again where the server can't be reached; how many were answered."""
        return retried(self._sync, tries, self._around.sleep, self._around.chance)

    def _sync(self) -> int:
        with self._store.alone():
            delivery = self._delivery()
            delivery.run()
            # Before the pull, so that what is in the record by now is not shown twice.
            delivery.ask_again()
            self._pull(delivery)
            outbox.prune(self._store)
            return delivery.sent

    def _delivery(self) -> Delivery:
        return Delivery(self._store, self._wire, self._around.clocks)

    def _pull(self, delivery: Delivery) -> None:
        learn_outfit(self._store, self._wire)
        Pull(self._store, self._wire, delivery).run()

    def send_file(self, name: str, content: bytes, worked_on: date, group: UUID | None = None) -> bool:
        """Send a field file into this device's day of that date; False where the office has its bytes already.

        Raises Offline, also while that day is being read; Refused, Blocked.
        """
        return send_file(self._wire, GivenFile(name, content, worked_on, group), self._store.get("name"))

    # Look up, without a server

    def find(self, number: str, colour: str = "") -> list[Card]:
        """The animals with a number: an EID, a visual tag, or their last digits; what is unsent shown on top."""
        return lookup.find(self._store, number, colour)

    def animal(self, key: UUID | str) -> Card | None:
        """An animal's card, what is unsent shown on top."""
        drafts = [
            Pending(str(one.op_id), one.kind, one.who, outbox.UNSENT, one.members) for one in self._group or []
        ]
        return lookup.animal(self._store, str(key), drafts)

    def expected(self, group: UUID | str) -> list[Card]:
        """The animals that should be in a group."""
        return lookup.expected(self._store, lookup.group_called(self._store, group))

    def groups(self) -> list[Card]:
        """The outfit's groups."""
        return rows_of(self._store, "group")

    def products(self) -> list[Card]:
        """The outfit's products; withdrawal and dose are the label's and the veterinarian's word."""
        return rows_of(self._store, "product")

    def unsent(self) -> list[dict[str, Any]]:
        """What is in the outbox, oldest first."""
        return self._operations("status = 'unsent'")

    def trouble(self) -> list[dict[str, Any]]:
        """What did not go straight into the record: kept aside, held, in review; and what the server could not take."""
        return self._operations("status IN ('quarantined', 'held', 'review') OR (status = 'unsent' AND tries > 0)")

    def _operations(self, which: str) -> list[dict[str, Any]]:
        rows = self._store.run(f"SELECT status, answer, body FROM operation WHERE {which} ORDER BY dseq")
        return [
            {**json.loads(body), "status": status, "reasons": json.loads(answer).get("reasons", [])}
            for status, answer, body in rows
        ]
