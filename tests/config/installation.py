"""Runs the real commands in processes of their own, each with a folder for its data."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
LONGEST_WAIT = 90.0


def environment(var: Path, **more: str) -> dict[str, str]:
    """Return an environment in which only the data folder and what is given is set for Notchbook."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith("NOTCHBOOK_")}
    plain.pop("DJANGO_SETTINGS_MODULE", None)
    plain.pop("CI", None)
    return {**plain, "NOTCHBOOK_VAR": str(var), "PYTHONUNBUFFERED": "1", **more}


def python(var: Path, code: str, **more: str) -> subprocess.CompletedProcess[str]:
    """Run a line of Python in the project's folder."""
    return subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=environment(var, **more), capture_output=True, text=True,
        check=False, timeout=LONGEST_WAIT,
    )  # fmt: skip


@contextlib.contextmanager
def serving(var: Path, log: Path, *arguments: str, **more: str) -> Iterator[subprocess.Popen[bytes]]:
    """Run `manage.py up` for the block; what it says goes to the log."""
    with log.open("wb") as output:
        process = subprocess.Popen(
            [sys.executable, "manage.py", "up", "--no-browser", *arguments],
            cwd=ROOT, env=environment(var, **more), stdout=output, stderr=subprocess.STDOUT,
        )  # fmt: skip
        try:
            yield process
        finally:
            if process.poll() is None:
                process.kill()
                process.wait()


def wait_until(holds: Callable[[], object], what: str) -> None:
    """Return when the claim holds; raises AssertionError after 90 s."""
    end = time.monotonic() + LONGEST_WAIT
    while not holds():
        assert time.monotonic() < end, f"never so: {what}"
        time.sleep(0.1)


def fetch(address: str) -> tuple[int, str]:
    """Return status and body; status 0 where nobody listens yet."""
    try:
        with urllib.request.urlopen(address, timeout=5) as answer:
            return answer.status, answer.read().decode()
    except OSError:
        return 0, ""


def free_port() -> int:
    """Return a port that was free a moment ago."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def children(process: int) -> list[int]:
    """Return the process ids of a process's children (POSIX ps)."""
    listed = subprocess.run(["ps", "-A", "-o", "pid=,ppid="], capture_output=True, text=True, check=True).stdout
    pairs = [line.split() for line in listed.splitlines()]
    return [int(pid) for pid, parent in pairs if int(parent) == process]


def is_alive(process: int) -> bool:
    """Whether a process that is not our child still runs."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def end(process: subprocess.Popen[bytes], how: signal.Signals) -> int:
    """Send the signal and return the exit code."""
    process.send_signal(how)
    return process.wait(LONGEST_WAIT)
