"""Waits for what a server in threads of this process is at, before its tables are emptied."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core.signals import request_finished, request_started

LONGEST = 20.0


class Answering:
    """How many requests are being answered."""

    def __init__(self) -> None:
        self.requests = 0
        self.change = threading.Condition()

    def begin(self, **_: Any) -> None:
        self._count(1)

    def end(self, **_: Any) -> None:
        self._count(-1)

    def _count(self, one: int) -> None:
        # The test's own client answers in its thread, and may leave a stream unread.
        if threading.current_thread() is not threading.main_thread():
            with self.change:
                self.requests += one
                self.change.notify_all()


@contextmanager
def all_answered() -> Iterator[None]:
    """Leave the block once nothing that was asked in it is being answered any more, or after 20 s."""
    answering = Answering()
    request_started.connect(answering.begin)
    request_finished.connect(answering.end)
    try:
        yield
        with answering.change:
            answering.change.wait_for(lambda: answering.requests <= 0, timeout=LONGEST)
    finally:
        request_started.disconnect(answering.begin)
        request_finished.disconnect(answering.end)
