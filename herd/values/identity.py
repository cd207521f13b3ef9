"""New identities: UUIDs of version 7, so that rows sort by the moment they were made."""

import secrets
import threading
import time
import uuid

_RANDOM_BITS = 74
_FRESH_BITS = 73
_STEP_BITS = 32


class _Clock:
    """The last moment and random part given out, so that the next identity is always greater."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._millisecond = 0
        self._random = 0

    def next_parts(self) -> tuple[int, int]:
        """Milliseconds since 1970 (48 bits) and the random part (74 bits), greater than any given before."""
        now = time.time_ns() // 1_000_000
        with self._lock:
            if now > self._millisecond:
                self._start(now)
            else:
                self._random += 1 + secrets.randbits(_STEP_BITS)
                if self._random >> _RANDOM_BITS:
                    self._start(self._millisecond + 1)
            return self._millisecond, self._random

    def _start(self, millisecond: int) -> None:
        # The top bit stays clear so that a burst within one millisecond has room to count up.
        self._millisecond = millisecond
        self._random = secrets.randbits(_FRESH_BITS)


_clock = _Clock()


def new_id() -> uuid.UUID:
    """A UUID of version 7 (RFC 9562, section 5.7), rising within this process and safe between threads.

    Counting follows section 6.2, method 2: within one millisecond the random part grows by a random step.
    """
    millisecond, random = _clock.next_parts()
    high, low = random >> 62, random & ((1 << 62) - 1)
    return uuid.UUID(int=millisecond << 80 | 0x7 << 76 | high << 64 | 0b10 << 62 | low)
