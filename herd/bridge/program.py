"""The running bridge: ports, flow, delivery, page and screen put together, until it is told to end."""

import queue
import signal
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from types import FrameType
from typing import NoReturn, Protocol

from herd.bridge.delivering import Delivering
from herd.bridge.flow import Flow
from herd.bridge.keeping import Keeping, NotKept
from herd.bridge.live import Live
from herd.bridge.page.server import Page
from herd.bridge.ports import Came, Listener
from herd.bridge.settings import Settings
from herd.client.clocks import clocks_of_machine
from herd.client.store import alone

LOOK_SECONDS = 0.1


class Console(Protocol):
    """How the person at the machine is told."""

    def say(self, sentence: str) -> None:
        """Say a sentence."""

    def ring(self) -> None:
        """Ring the bell."""

    def draw(self, live: Live, keeping: Keeping) -> None:
        """Draw how things stand."""


class Bridge:
    """One bridge of one configuration."""

    def __init__(self, settings: Settings, console: Console) -> None:
        self._settings, self._console = settings, console
        self._live = Live()
        self._came: queue.Queue[Came] = queue.Queue()
        self._listeners = {port.name: Listener(port, self._came) for port in settings.ports}
        self._delivering = Delivering(settings, self._live)
        self._flow: Flow | None = None

    def run(self) -> None:
        """Work until Ctrl-C or SIGTERM; raises NotKept where the file can't be had, Busy where another bridge runs."""
        signal.signal(signal.SIGTERM, _end)
        with ExitStack() as ending:
            ending.enter_context(alone(self._settings.keep))
            keeping = ending.enter_context(closing(Keeping(self._settings.keep)))
            self._flow = self._begun(keeping)
            ending.callback(self._close)
            self._open_page(ending)
            self._delivering.start()
            ending.callback(self._delivering.stop)
            for listener in self._listeners.values():
                listener.start()
                ending.callback(listener.stop)
            self._work(keeping)

    def _open_page(self, ending: ExitStack) -> None:
        if not self._settings.page:
            return
        try:
            page = Page(self._settings.page, self._settings.keep, self._live, self._delivering.wake)
        except OSError as problem:
            # Weighing goes on without it.
            self._console.say(f"The page can't be shown at port {self._settings.page}: {problem.strerror}.")
            return
        page.start()
        ending.callback(page.stop)
        self._live.say(page=page.address)
        self._console.say(f"The page for this machine's browser: {page.address}")

    def _work(self, keeping: Keeping) -> None:
        while True:
            for one in self._next():
                self._take(one, keeping)
            self._console.draw(self._live, keeping)

    def _next(self) -> Iterator[Came | None]:
        """What has come, or None for time that has gone by; ends so that the screen is drawn now and then."""
        until = time.monotonic() + LOOK_SECONDS
        try:
            yield self._came.get(timeout=LOOK_SECONDS)
            while time.monotonic() < until:
                yield self._came.get_nowait()
        except queue.Empty:
            yield None

    def _take(self, one: Came | None, keeping: Keeping) -> None:
        try:
            if self._flow is None:
                self._flow = self._begun(keeping)
            self._feed(self._flow, one)
        except NotKept as problem:
            # What waited in memory is begun anew from the file, so that nothing is beeped that is not in it.
            self._flow = None
            self._live.say(trouble=str(problem))

    def _feed(self, flow: Flow, one: Came | None) -> None:
        if one is None:
            flow.tick(time.monotonic())
            return
        if one.state:
            self._live.port(one.port, one.state)
            self._console.say(f"{one.port}: {one.state}")
        if one.is_lost:
            flow.lose(one.port, one.at)
        elif one.chunk:
            flow.feed(one.port, one.chunk, one.at)

    def _begun(self, keeping: Keeping) -> Flow:
        return Flow(self._settings, keeping, self._live, clocks_of_machine(), self._beep)

    def _beep(self) -> None:
        beep = self._settings.beep
        if beep.with_bell:
            self._console.ring()
        if beep.port:
            self._listeners[beep.port].answer(beep.answer)

    def _close(self) -> None:
        if self._flow is not None:
            self._flow.close(time.monotonic())


def _end(number: int, frame: FrameType | None) -> NoReturn:
    raise KeyboardInterrupt
