"""The machine's clocks: the wall clock, which may be wrong, and the steady one, which counts from its start."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import uuid4

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


@dataclass(frozen=True, slots=True)
class Clocks:
    """Two clocks and a name for the start of the machine that the steady one counts from, in milliseconds."""

    now: Callable[[], datetime]
    steady_ms: Callable[[], int]
    boot: str

    def shown(self) -> dict[str, object]:
        """What the clocks show, as a push tells it."""
        return {"now": self.now().isoformat(), "mono_ms": self.steady_ms(), "boot": self.boot}


def clocks_of_machine() -> Clocks:
    """The clocks of this machine."""
    return Clocks(lambda: datetime.now().astimezone(), _steady_ms, _boot())


def _steady_ms() -> int:
    # Where there is one, the clock that goes on while a laptop sleeps.
    boottime = getattr(time, "CLOCK_BOOTTIME", None)
    return int((time.clock_gettime(boottime) if boottime is not None else time.monotonic()) * 1000)


def _boot() -> str:
    """The system's own id of its start; elsewhere one of this process, so that no two starts are taken for one."""
    try:
        return _BOOT_ID.read_text(encoding="ascii").strip()
    except OSError:
        return str(uuid4())
