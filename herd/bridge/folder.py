"""Finds field files in a folder, waits until each is whole, and remembers which content has been uploaded."""

import hashlib
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path

from herd.bridge.keeping import Keeping, now
from herd.bridge.settings import Folder

LARGEST = 200 * 1024 * 1024
FOUND, SENT, REFUSED = "found", "sent", "refused"


@dataclass(frozen=True, slots=True)
class Whole:
    """A file that has not changed for its time."""

    path: Path
    digest: str
    content: bytes
    worked_on: date


@dataclass(slots=True)
class Watch:
    """Looks into one folder again and again; `seen` has each file's size, time of change, and since when they stand."""

    folder: Folder
    keeping: Keeping
    seen: dict[Path, tuple[int, int, float]] = field(default_factory=dict)

    def look(self, at: float) -> list[Whole]:
        """Files that are whole by now and whose content was not uploaded yet; `at` in seconds of a steady clock."""
        found = []
        for path in self._files():
            whole = self._whole(path, at)
            if whole and self._state(whole) == FOUND:
                found.append(whole)
        return found

    def note(self, whole: Whole, state: str, reason: str = "") -> None:
        """Remember durably what became of a file's content."""
        with self.keeping.writing():
            self.keeping.run("UPDATE upload SET state = ?, reason = ? WHERE digest = ?", [state, reason, whole.digest])

    def _files(self) -> list[Path]:
        try:
            named = {path for pattern in self.folder.names for path in self.folder.path.glob(pattern)}
        except OSError:
            return []
        # What begins with a dot or a tilde is half written by the program that writes it.
        return sorted(path for path in named if not path.name.startswith((".", "~")) and path.is_file())

    def _whole(self, path: Path, at: float) -> Whole | None:
        try:
            state = path.stat()
            size, changed, since = self.seen.get(path, (-1, -1, at))
            if (size, changed) != (state.st_size, state.st_mtime_ns):
                self.seen[path] = (state.st_size, state.st_mtime_ns, at)
                return None
            if at - since < self.folder.settled or size == 0:
                return None
            return self._read(path, size)
        except OSError:
            # Locked by the program that writes it, or gone meanwhile: the next look tells.
            self.seen.pop(path, None)
            return None

    def _read(self, path: Path, size: int) -> Whole | None:
        changed = path.stat().st_mtime
        content = path.read_bytes() if size <= LARGEST else f"{path.name} {size} {changed}".encode()
        whole = Whole(path, hashlib.sha256(content).hexdigest(), content, _day(changed))
        with self.keeping.writing():
            self.keeping.run(
                "INSERT OR IGNORE INTO upload (digest, name, found_at, state, size) VALUES (?, ?, ?, ?, ?)",
                [whole.digest, path.name, now(), FOUND, size],
            )
        if size > LARGEST:
            self.note(whole, REFUSED, f"{path.name} is larger than {LARGEST // 1024**2} MB.")
        return whole

    def _state(self, whole: Whole) -> str:
        row = self.keeping.run("SELECT state FROM upload WHERE digest = ?", [whole.digest]).fetchone()
        return str(row[0]) if row else FOUND


def _day(changed: float) -> date:
    """The day on which a file was last written, by this machine's clock."""
    return datetime.fromtimestamp(changed, UTC).astimezone().date()


def uploads(keeping: Keeping, most: int = 20) -> list[tuple[str, str, str, str]]:
    """The latest files: name, when found, state, reason."""
    return keeping.run(
        "SELECT name, found_at, state, reason FROM upload ORDER BY found_at DESC LIMIT ?", [most]
    ).fetchall()
