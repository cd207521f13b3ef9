"""Delivers the outbox: oldest first, in portions, each operation once however often it has to be sent."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from herd.client.clocks import Clocks
from herd.client.faults import ClientError, Faulty, Offline, Refused
from herd.client.outbox import (
    Unit,
    acknowledge,
    doubt_all,
    note_trouble,
    of_other_epochs,
    put_back,
    units,
    waiting_ids,
)
from herd.client.store import Store
from herd.client.wire import Wire

MOST_OPERATIONS = 500
# A little under the server's 1 MiB, for what stands around the operations.
MOST_BYTES = 1024 * 1024 - 4096
MOST_KNOWN = 1_000
# Halving a full portion down to one operation that the server can't take needs nine refusals.
MOST_FAULTS = 12
SCHEMA = 1


@dataclass(slots=True)
class Delivery:
    """One delivery: how many were answered, and which could not be sent by themselves either."""

    store: Store
    wire: Wire
    clocks: Clocks
    epoch: str = ""
    sent: int = 0
    stuck: list[int] = field(default_factory=list)
    faults: int = 0

    def run(self) -> None:
        """Deliver all that is in the outbox; raises Offline, Refused, Blocked, with what was answered kept."""
        while True:
            self._put_back_what_it_lacks()
            some = units(self.store, MOST_OPERATIONS, MOST_BYTES, self.stuck)
            if not some:
                return
            self._send(some)

    def run_in_doubt(self) -> None:
        """Deliver where the server may have been put back to an earlier state: it is asked for everything it had."""
        doubt_all(self.store)
        self.epoch = str(self.wire.get("sync/info/")["epoch"])
        self.run()

    def _put_back_what_it_lacks(self) -> None:
        """Ask for what was acknowledged in another epoch; what the server lacks goes into the outbox again."""
        while self.epoch and (ids := of_other_epochs(self.store, self.epoch, MOST_KNOWN)):
            answer = self._known(ids)
            self.epoch = str(answer["epoch"])
            acknowledge(self.store, answer["known"], self.epoch, self.store.get("server_time"))
            put_back(self.store, sorted(set(ids) - {str(one["op_id"]) for one in answer["known"]}))

    def ask_again(self) -> None:
        """Learn what has become of operations that wait for a person or for what they depend on."""
        ids = waiting_ids(self.store, MOST_KNOWN)
        if ids:
            answer = self._known(ids)
            acknowledge(self.store, answer["known"], str(answer["epoch"]), self.store.get("server_time"))

    def _known(self, ids: Sequence[str]) -> dict[str, Any]:
        answer = self.wire.post("sync/known/", json.dumps({"op_ids": ids}).encode())
        if not isinstance(answer.get("known"), list) or "epoch" not in answer:
            raise Offline("The server's answer does not fit what was asked.")
        return answer

    def _send(self, some: list[Unit]) -> None:
        try:
            answer = self.wire.post("sync/push/", self._body(some))
        except (Faulty, Refused) as problem:
            self._send_halves(some, problem)
            return
        operations = [one for unit in some for one in unit]
        results = answer.get("results")
        if not isinstance(results, list) or [str(one.get("op_id")) for one in results] != [
            one.op_id for one in operations
        ]:
            raise Offline("The server's answer does not fit what was sent.")
        self.epoch = str(answer["epoch"])
        acknowledge(self.store, results, self.epoch, str(answer["server_time"]))
        self.sent += len(operations)

    def _send_halves(self, some: list[Unit], problem: ClientError) -> None:
        """Find out by halving what the server can't take, so that it keeps nothing else back."""
        self.faults += 1
        if isinstance(problem, Refused) and problem.status not in {400, 413}:
            raise problem
        if self.faults > MOST_FAULTS:
            raise problem
        if len(some) == 1:
            self.stuck += [one.dseq for one in some[0]]
            note_trouble(self.store, some[0])
            return
        half = len(some) // 2
        self._send(some[:half])
        self._send(some[half:])

    def _body(self, some: list[Unit]) -> bytes:
        # Operations travel exactly as they were stored: the server knows them again by their content.
        operations = ",".join(one.body for unit in some for one in unit)
        clock = json.dumps(self.clocks.shown())
        return f'{{"schema":{SCHEMA},"clock":{clock},"ops":[{operations}]}}'.encode()
