"""A reader and a scale on pseudo-terminals, and a bridge in a process of its own that hears them."""

import os
import select
import signal
import subprocess
import sys
import time
import tty
from collections.abc import Callable
from pathlib import Path

from tests.config.installation import ROOT, environment

LONGEST_WAIT = 20.0


class Wire:
    """One pseudo-terminal: the test writes where a device would, the bridge opens the other end by its name."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.plug_in()

    def plug_in(self) -> None:
        self.device, self._held = os.openpty()
        tty.setraw(self._held)
        os.set_blocking(self.device, False)
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(os.ttyname(self._held))

    def send(self, text: str | bytes) -> None:
        raw = text if isinstance(text, bytes) else text.encode() + b"\r\n"
        try:
            os.write(self.device, raw)
        except BlockingIOError:
            # Nobody reads at the other end; a device sends on into nothing.
            return

    def heard(self, seconds: float) -> bytes:
        """What the bridge answered within a time."""
        if not select.select([self.device], [], [], seconds)[0]:
            return b""
        return os.read(self.device, 1000)

    def unplug(self) -> None:
        os.close(self._held)
        os.close(self.device)


CONFIGURATION = """
store = "scale.db"
keep = "bridge.db"
page = 0
every = 1
silence = 5

[[ports]]
name = "reader"
serial = "{reader}"
patterns = ['(?P<number>[0-9]{{15}})']

[[ports]]
name = "scale"
serial = "{scale}"
patterns = ['(?P<status>[A-Z]?)\\s*(?P<weight>[-+]?[0-9.]+) (?P<unit>kg|lb)', '(?P<status>OL)']

[ports.status]
overload = ["OL"]

[steady]
spread = 2
seconds = 0.2
least = 3
empty_below = 15
empty_for = 0.1

[beep]
bell = false
port = "reader"
answer = "\\u0006"
"""


class Program:
    """The bridge as it is started on a scale PC."""

    def __init__(self, folder: Path, reader: Wire, scale: Wire) -> None:
        self.folder = folder
        (folder / "bridge.toml").write_text(CONFIGURATION.format(reader=reader.path, scale=scale.path))
        self._process: subprocess.Popen[str] | None = None

    def until_open(self, count: int) -> None:
        """Return when the bridge has said so many times that a port is open."""
        assert self._process
        assert self._process.stdout
        while count:
            line = self._process.stdout.readline()
            assert line, "the bridge ended"
            count -= line.endswith("open\n")

    def start(self) -> None:
        """Start it, and return when both ports are open."""
        self._process = subprocess.Popen(
            [sys.executable, "-m", "herd.bridge", "--config", str(self.folder / "bridge.toml"), "--plain"],
            cwd=ROOT, env=environment(self.folder / "var"), stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        self.until_open(2)

    def kill(self) -> None:
        assert self._process
        self._process.send_signal(signal.SIGKILL)
        self._process.wait()

    def end(self) -> int:
        assert self._process
        self._process.send_signal(signal.SIGTERM)
        return self._process.wait(LONGEST_WAIT)


def weigh(reader: Wire, scale: Wire, number: str, weight: str, stop: Callable[[], bool] = lambda: False) -> bool:
    """One animal on and off the scale; True once the bridge has answered, False where it was stopped or silent."""
    for _ in range(4):
        scale.send("0 kg")
        time.sleep(0.05)
    scale.send("97.5 kg")
    reader.send(number)
    answered, until = False, time.monotonic() + 10
    while not answered and time.monotonic() < until and not stop():
        scale.send(f"{weight} kg")
        answered = b"\x06" in reader.heard(0.05)
    for _ in range(5):
        scale.send("0 kg")
        time.sleep(0.05)
    return answered
