"""A lock between processes, held on a file; the system lets go of it when its holder dies."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

PAUSE_SECONDS = 0.2


def _take(file: IO[str]) -> bool:
    try:
        if sys.platform == "win32":
            file.seek(0)
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _release(file: IO[str]) -> None:
    if sys.platform == "win32":
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
    else:
        fcntl.flock(file, fcntl.LOCK_UN)


@contextmanager
def file_lock(path: Path, *, when_waiting: Callable[[], None] | None = None) -> Iterator[None]:
    """Hold the lock at `path` for the block; waits as long as another process holds it.

    `when_waiting` is called once if there is a wait. The file itself stays; only the lock on it counts.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a+") as file:
        if not _take(file):
            if when_waiting:
                when_waiting()
            while not _take(file):
                time.sleep(PAUSE_SECONDS)
        try:
            yield
        finally:
            _release(file)
