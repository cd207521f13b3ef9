"""Delivers what is kept, in a thread of its own: pairs by way of the client's outbox, and field files."""

import threading
import time
from collections.abc import Callable
from contextlib import closing
from uuid import UUID

from herd.bridge import pairs
from herd.bridge.folder import REFUSED, SENT, Watch
from herd.bridge.keeping import Keeping, NotKept, PairState
from herd.bridge.live import Live
from herd.bridge.settings import Settings
from herd.client import Client, ClientError, NotHere, Offline, Refused, Unfit
from herd.client.client import Surroundings

NOT_ENROLLED = "This device is not enrolled yet: python -m herd.client --store {store} enrol ADDRESS CODE"
# What the office will say again however often it is asked: the file itself is at fault.
FINAL = frozenset({400, 413, 415, 422})


def hand_over(keeping: Keeping, client: Client) -> int:
    """Put ready pairs into the client's outbox under their own ids; how many. Raises NotKept, NotStored.

    Where the program is killed in between, the pair is still ready, and the outbox knows its id.
    """
    count = 0
    for pair in pairs.pairs(keeping, (PairState.READY,)):
        data = {"weight": pair.weight.value, "unit": pair.weight.unit}
        data |= {"note": pair.weight.note} if pair.weight.note else {}
        try:
            client.take_over(UUID(pair.id), "weight", pair.number, data, pair.weight.clock)
        except Unfit as problem:
            pairs.take_apart(keeping, pair.weight.id, pair.number_id, str(problem))
            continue
        pairs.note_given(keeping, pair.id)
        count += 1
    return count


class Delivering:
    """Delivers every so many seconds, sooner when told that there is something."""

    def __init__(self, settings: Settings, live: Live, surroundings: Callable[[], Surroundings] | None = None) -> None:
        self._settings, self._live = settings, live
        self._surroundings = surroundings
        self._wake = threading.Event()
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._run, name="delivering", daemon=True)

    def start(self) -> None:
        """Begin; returns at once."""
        self._thread.start()

    def wake(self) -> None:
        """There is something to deliver now."""
        self._wake.set()

    def stop(self) -> None:
        """End; a call to the office under way is not waited for longer than 5 s, and loses nothing."""
        self._ending.set()
        self._wake.set()
        self._thread.join(5)

    def _run(self) -> None:
        watch: Watch | None = None
        while not self._ending.is_set():
            try:
                with closing(Keeping(self._settings.keep)) as keeping:
                    watch = self._watch(watch, keeping)
                    self.deliver(keeping, watch)
            except NotHere:
                self._say(NOT_ENROLLED.format(store=self._settings.store))
            except (ClientError, NotKept) as problem:
                self._say(str(problem))
            except Exception as problem:
                # Whatever it is, work at the chute goes on, and the next round tries again.
                self._say(f"Stumbled over {type(problem).__name__}: {problem}"[:200])
            self._wake.wait(self._settings.every)
            self._wake.clear()

    def deliver(self, keeping: Keeping, watch: Watch | None) -> None:
        """One round; raises ClientError, NotKept."""
        around = self._surroundings() if self._surroundings else None
        with Client.open(self._settings.store, around) as client:
            # Into the outbox first, also where the office can't be reached.
            hand_over(keeping, client)
            try:
                client.sync(tries=1)
            except ClientError as problem:
                self._say(f"{len(client.unsent())} unsent. {problem}")
                return
            unsent, troubled = len(client.unsent()), len(client.trouble())
            said = [f"{unsent} unsent" if unsent else "all delivered"]
            self._say(", ".join([*said, *([f"{troubled} asked about at the office"] if troubled else [])]))
            if watch:
                self._upload(client, watch)

    def _say(self, sentence: str) -> None:
        self._live.say(delivery=f"{time.strftime('%H:%M:%S')} {sentence}")

    def _watch(self, watch: Watch | None, keeping: Keeping) -> Watch | None:
        if self._settings.folder is None:
            return None
        return Watch(self._settings.folder, keeping, watch.seen if watch else {})

    def _upload(self, client: Client, watch: Watch) -> None:
        for whole in watch.look(time.monotonic()):
            try:
                is_new = client.send_file(whole.path.name, whole.content, whole.worked_on, watch.folder.group)
                watch.note(whole, SENT, "" if is_new else "The office had it already.")
                self._live.say(folder=f"{whole.path.name} uploaded")
            except Refused as problem:
                if problem.status not in FINAL:
                    self._live.say(folder=f"{whole.path.name} waits: {problem}")
                    return
                watch.note(whole, REFUSED, str(problem))
                self._live.say(folder=f"{whole.path.name} was refused: {problem}")
            except Offline as problem:
                self._live.say(folder=f"{whole.path.name} waits: {problem}")
                return
