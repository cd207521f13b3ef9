"""Tries again what the network or a busy server kept from succeeding, later and later, and never all at once."""

from collections.abc import Callable
from typing import TypeVar

from herd.client.faults import Offline

FIRST = 1.0
LONGEST = 300.0
# A server that asks for more than this is not waited for within one call.
MOST_ASKED = 3600.0
T = TypeVar("T")


def wait_before(attempt: int, chance: float, asked: float | None) -> float:
    """Seconds before the next try: by chance between none and twice as much as the last time, up to five minutes.

    Where the server asked for a time (Retry-After), it is at least that.
    """
    longest = min(LONGEST, FIRST * 2**attempt)
    return max(longest * chance, min(asked or 0.0, MOST_ASKED))


def retried(work: Callable[[], T], tries: int, sleep: Callable[[float], None], chance: Callable[[], float]) -> T:
    """Do the work, trying again after Offline; raises the last Offline, and any other fault at once."""
    for attempt in range(tries - 1):
        try:
            return work()
        except Offline as problem:
            sleep(wait_before(attempt, chance(), problem.wait))
    return work()
