"""What goes on at this moment, for the screen and the page; several threads look at it."""

import threading
from collections import deque
from dataclasses import dataclass, field, replace

LINES_SHOWN = 10


@dataclass(frozen=True, slots=True)
class Shown:
    """One look at everything."""

    ports: dict[str, str] = field(default_factory=dict)
    # Port, the line as it came, what was understood.
    lines: tuple[tuple[str, str, str], ...] = ()
    scale: str = "nothing heard yet"
    number: str = ""
    last: str = ""
    delivery: str = "not tried yet"
    folder: str = ""
    trouble: str = ""
    page: str = ""


class Live:
    """The present state; each change replaces the look as a whole."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._shown = Shown()
        self._lines: deque[tuple[str, str, str, int]] = deque(maxlen=LINES_SHOWN)

    def now(self) -> Shown:
        """The present look."""
        with self._lock:
            lines = tuple((port, text, _often(understood, count)) for port, text, understood, count in self._lines)
            return replace(self._shown, lines=lines, ports=dict(self._shown.ports))

    def say(self, **changes: str) -> None:
        """Change what is said: scale, number, last, delivery, folder, trouble, page."""
        with self._lock:
            self._shown = replace(self._shown, **changes)  # type: ignore[arg-type]

    def port(self, name: str, state: str) -> None:
        """Say how a port is."""
        with self._lock:
            self._shown = replace(self._shown, ports={**self._shown.ports, name: state})

    def line(self, port: str, text: str, understood: str) -> None:
        """Show a line as it came, and what was understood; the same one again is counted."""
        with self._lock:
            count = 1
            if self._lines and self._lines[0][:3] == (port, text, understood):
                count += self._lines.popleft()[3]
            self._lines.appendleft((port, text, understood, count))


def _often(understood: str, count: int) -> str:
    return f"{understood} ({count} times)" if count > 1 else understood
