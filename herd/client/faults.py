"""What can go wrong, each as a sentence for the person at the chute."""

from collections.abc import Mapping
from typing import Any


class ClientError(Exception):
    """The text is a sentence; what was stored before stays stored."""


class Unfit(ClientError):  # noqa: N818
    """What was to be captured can't be used as it is; nothing of it was stored."""


class NotHere(ClientError):  # noqa: N818
    """The local copy does not have the one animal, group or operation that was asked for."""


class NotStored(ClientError):  # noqa: N818
    """The file did not take it: the disk is full, or the file is not ours. What it held before is still in it."""


class Offline(ClientError):  # noqa: N818
    """The server can't be reached now, or is busy; to be tried again. `wait` is how long it asked for, in seconds."""

    def __init__(self, sentence: str, wait: float | None = None) -> None:
        super().__init__(sentence)
        self.wait = wait


class Busy(Offline):
    """Another process delivers from the same file at this moment."""


class Faulty(Offline):
    """The server was reached and stumbled (500)."""


class Refused(ClientError):  # noqa: N818
    """The server refused a call; `problem` holds its problem details (RFC 9457)."""

    def __init__(self, sentence: str, status: int, problem: Mapping[str, Any]) -> None:
        super().__init__(sentence)
        self.status = status
        self.problem = dict(problem)

    @property
    def word(self) -> str:
        """The end of the problem's type, such as `too-large`."""
        return str(self.problem.get("type", "")).rpartition(":")[2]


class Blocked(Refused):
    """The token does not hold any more: the office has blocked the device, or has enrolled it anew."""
