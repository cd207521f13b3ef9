"""Bounds what one worker process may take of the machine."""

import sys
from typing import Any

from celery import bootsteps
from django.conf import settings

if sys.platform != "win32":
    import resource

MIB = 1024 * 1024


class MemoryBound(bootsteps.Step):
    """Bounds the memory of the worker before its processes are made, which inherit it.

    A task that asks for more gets a MemoryError, which ends it with a sentence on its day.
    """

    def __init__(self, parent: Any, **options: Any) -> None:
        super().__init__(parent, **options)
        bound_memory(settings.TASK_MEMORY)


def bound_memory(mebibytes: int) -> None:
    """Bound this process's addresses to so many MiB, never above what the system allows; 0 leaves them alone.

    Windows and macOS know no such bound for a process by itself.
    """
    if not mebibytes or sys.platform != "linux":
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    wanted = mebibytes * MIB
    soft = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
