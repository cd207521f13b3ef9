"""Keeps the worker process running beside the site, and repeats the call to resume what was left."""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable

from django.conf import settings

FIRST_PAUSE_SECONDS = 1.0
LONGEST_PAUSE_SECONDS = 60.0
GRACE_SECONDS = 25.0
LOOK_SECONDS = 0.2


class WorkerSupervision:
    """Starts the worker, starts it again with growing pauses when it dies, and ends it at the end.

    `say` gets each sentence meant for the person at the console.
    """

    def __init__(self, say: Callable[[str], None]) -> None:
        self._say = say
        self._is_ending = threading.Event()
        self._thread = threading.Thread(target=self._keep_running, name="worker-supervision", daemon=True)

    def start(self) -> None:
        """Begin; returns at once."""
        self._thread.start()

    def stop(self) -> None:
        """End the worker and wait for it; a task under way has 25 s to come to its end."""
        self._is_ending.set()
        self._thread.join(GRACE_SECONDS + 5)

    def _keep_running(self) -> None:
        pause = FIRST_PAUSE_SECONDS
        while not self._is_ending.is_set():
            began = time.monotonic()
            code = self._run_once()
            if self._is_ending.is_set():
                return
            if time.monotonic() - began > LONGEST_PAUSE_SECONDS:
                pause = FIRST_PAUSE_SECONDS
            self._say(f"The worker ended by itself ({code}); next start in {pause:.0f} s.")
            self._is_ending.wait(pause)
            pause = min(pause * 2, LONGEST_PAUSE_SECONDS)

    def _run_once(self) -> str:
        try:
            process = start_worker()
        except OSError as problem:
            return f"it could not be started: {problem.strerror}"
        while process.poll() is None and not self._is_ending.wait(LOOK_SECONDS):
            pass
        if self._is_ending.is_set():
            end_worker(process)
        return f"exit code {process.returncode}"


def start_worker() -> subprocess.Popen[bytes]:
    """Start one worker with its standard input on a pipe that closes when this process is gone.

    It gets a process group of its own, so that Ctrl-C at the console reaches only the parent.
    """
    group = 0
    if sys.platform == "win32":
        group = subprocess.CREATE_NEW_PROCESS_GROUP
    return subprocess.Popen(
        [sys.executable, "-m", "herd.config.worker"],
        stdin=subprocess.PIPE,
        cwd=settings.BASE_DIR,
        env={**os.environ, "NOTCHBOOK_VAR": str(settings.VAR_DIR)},
        start_new_session=sys.platform != "win32",
        creationflags=group,
    )


def end_worker(process: subprocess.Popen[bytes]) -> None:
    """Close the worker's pipe, wait for its end, and kill it only if that takes more than 25 s."""
    if process.stdin:
        process.stdin.close()
    try:
        process.wait(GRACE_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


class Reminder:
    """Calls `action` now and then every `seconds`, in a thread of its own, until stopped."""

    def __init__(self, action: Callable[[], object], seconds: float) -> None:
        self._action = action
        self._seconds = seconds
        self._is_ending = threading.Event()
        self._thread = threading.Thread(target=self._repeat, name="reminder", daemon=True)

    def start(self) -> None:
        """Begin; returns at once."""
        self._thread.start()

    def stop(self) -> None:
        """End; an action under way is not waited for longer than 5 s."""
        self._is_ending.set()
        self._thread.join(5)

    def _repeat(self) -> None:
        self._action()
        while not self._is_ending.wait(self._seconds):
            self._action()
