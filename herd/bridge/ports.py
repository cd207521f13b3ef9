"""Serial ports and TCP addresses, each heard by a thread of its own, opened again after every failure."""

import queue
import random
import socket
import threading
import time
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

import serial

from herd.bridge.settings import Port, Serial, Tcp

LOOK_SECONDS = 0.2
FIRST_PAUSE = 0.5
LONGEST_PAUSE = 15.0
MOST_BYTES = 4096


@dataclass(frozen=True, slots=True)
class Came:
    """Something came from a port at a time of the steady clock: bytes, or word of how the port is.

    `is_lost` says that an open port went away.
    """

    port: str
    at: float
    chunk: bytes = b""
    state: str = ""
    is_lost: bool = False


class Opened(Protocol):
    """An open port."""

    def read(self) -> bytes | None:
        """What has come within a moment, None where nothing has; raises OSError where the port is gone."""

    def write(self, answer: bytes) -> None:
        """Send an answer; raises OSError."""

    def close(self) -> None:
        """Close it."""


class SerialLine:
    """An open serial port."""

    def __init__(self, told: Serial) -> None:
        bits, parity, stops = int(told.framing[0]), told.framing[1], float(told.framing[2:])
        # Alone, where the system knows how: two programs on one port each get a part of the bytes.
        alone = {"exclusive": True} if serial.Serial.__module__ == "serial.serialposix" else {}
        self._port = serial.Serial(
            told.path, told.speed, bits, parity, stops, timeout=LOOK_SECONDS, write_timeout=1.0, **alone
        )

    def read(self) -> bytes | None:
        """What has come; raises OSError, which pyserial's errors are."""
        chunk = self._port.read(1)
        return bytes(chunk + self._port.read(self._port.in_waiting)) if chunk else None

    def write(self, answer: bytes) -> None:
        """Send an answer; raises OSError."""
        self._port.write(answer)

    def close(self) -> None:
        """Close it."""
        self._port.close()


class TcpLine:
    """An open TCP connection."""

    def __init__(self, connection: socket.socket) -> None:
        connection.settimeout(LOOK_SECONDS)
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        self._connection = connection

    def read(self) -> bytes | None:
        """What has come; raises OSError, also where the other end has closed."""
        try:
            chunk = self._connection.recv(MOST_BYTES)
        except TimeoutError:
            return None
        if not chunk:
            raise ConnectionResetError("the other end has closed")
        return chunk

    def write(self, answer: bytes) -> None:
        """Send an answer; raises OSError."""
        self._connection.sendall(answer)

    def close(self) -> None:
        """Close it."""
        self._connection.close()


class Listener:
    """Hears one port until it is told to end, and puts what comes into a queue."""

    def __init__(self, port: Port, came: "queue.Queue[Came]") -> None:
        self.port = port
        self._came = came
        self._ending = threading.Event()
        self._open: Opened | None = None
        self._thread = threading.Thread(target=self._run, name=f"port {port.name}", daemon=True)

    def start(self) -> None:
        """Begin; returns at once."""
        self._thread.start()

    def stop(self) -> None:
        """End and wait for it."""
        self._ending.set()
        self._thread.join(5)

    def answer(self, text: bytes) -> None:
        """Send an answer where the port is open; what can't be sent is not tried again."""
        opened = self._open
        if opened is not None:
            with suppress(OSError):
                opened.write(text)

    def _run(self) -> None:
        pause = FIRST_PAUSE
        while not self._ending.is_set():
            began = time.monotonic()
            try:
                self._hear()
            except Exception as problem:
                # A driver's own errors are of many kinds; none may end the listening for good.
                self._tell(f"{_sentence(problem)}; tried again in a moment", is_lost=self._open is not None)
            finally:
                self._close()
            pause = FIRST_PAUSE if time.monotonic() - began > LONGEST_PAUSE else min(pause * 2, LONGEST_PAUSE)
            # By chance, so that two ports of one adapter do not always try at the same moment.
            self._ending.wait(pause * random.uniform(0.5, 1.0))

    def _hear(self) -> None:
        opened = self._opened()
        if opened is None:
            return
        self._open = opened
        self._tell("open")
        while not self._ending.is_set():
            chunk = opened.read()
            if chunk:
                self._came.put(Came(self.port.name, time.monotonic(), chunk))

    def _opened(self) -> Opened | None:
        line = self.port.line
        if isinstance(line, Serial):
            return SerialLine(line)
        if not line.is_listening:
            return TcpLine(socket.create_connection((line.host, line.port), timeout=5))
        return self._caller(line)

    def _caller(self, line: Tcp) -> Opened | None:
        with socket.create_server((line.host, line.port)) as server:
            server.settimeout(LOOK_SECONDS)
            self._tell("waits for a caller")
            while not self._ending.is_set():
                with suppress(TimeoutError):
                    return TcpLine(server.accept()[0])
        return None

    def _tell(self, state: str, *, is_lost: bool = False) -> None:
        self._came.put(Came(self.port.name, time.monotonic(), state=state, is_lost=is_lost))

    def _close(self) -> None:
        opened, self._open = self._open, None
        if opened is not None:
            with suppress(OSError):
                opened.close()


def _sentence(problem: Exception) -> str:
    said = getattr(problem, "strerror", None) or str(problem)
    return str(said).strip()[:120] or "it does not answer"
