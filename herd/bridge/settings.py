"""What the bridge is told by its configuration: ports, rules, folder, delivery."""

from dataclasses import dataclass, field
from pathlib import Path
from uuid import UUID

from herd.bridge import joining, steadiness
from herd.bridge.patterns import Words


@dataclass(frozen=True, slots=True)
class Serial:
    """A serial port; `framing` is data bits, parity and stop bits, as in 8N1."""

    path: str
    speed: int = 9600
    framing: str = "8N1"


@dataclass(frozen=True, slots=True)
class Tcp:
    """A TCP address to call, or to wait at for one caller at a time."""

    host: str
    port: int
    is_listening: bool = False


@dataclass(frozen=True, slots=True)
class Port:
    """One port, and how its lines are read."""

    name: str
    line: Serial | Tcp
    words: Words


@dataclass(frozen=True, slots=True)
class Beep:
    """How a stored pair is answered: by the terminal's bell, by bytes to a port, or both."""

    with_bell: bool = True
    port: str = ""
    answer: bytes = b""


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder whose field files are uploaded once each, after they have not changed for `settled` seconds."""

    path: Path
    names: tuple[str, ...] = ("*.csv", "*.txt", "*.xlsx")
    settled: float = 10.0
    group: UUID | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything the configuration says."""

    store: Path
    keep: Path
    ports: tuple[Port, ...]
    steady: steadiness.Rule
    joining: joining.Rule
    silence: float = 5.0
    beep: Beep = field(default_factory=Beep)
    folder: Folder | None = None
    every: float = 15.0
    page: int = 8765
    raw_lines: int = 20_000
