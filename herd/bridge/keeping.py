"""What the bridge has heard, in its own SQLite file: stored durably before anything is answered."""

import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from herd.bridge.reading import Reading, as_reading
from herd.client.ownfile import Layout, OwnFile

# A reading is a number or a weight; a pair is one operation for the record, with the id it will have there. `raw` holds
# the last lines as they came. `upload` holds field files by the digest of their content.
SCHEMA = """
CREATE TABLE state (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE raw (id INTEGER PRIMARY KEY, at TEXT NOT NULL, port TEXT NOT NULL, line TEXT NOT NULL,
    understood TEXT NOT NULL);
CREATE TABLE reading (id TEXT PRIMARY KEY, kind TEXT NOT NULL, value TEXT NOT NULL, unit TEXT NOT NULL,
    flags TEXT NOT NULL, at TEXT NOT NULL, clock TEXT NOT NULL, port TEXT NOT NULL, line TEXT NOT NULL,
    state TEXT NOT NULL, reason TEXT NOT NULL DEFAULT '') WITHOUT ROWID;
CREATE INDEX reading_by_state ON reading (state, id);
CREATE TABLE pair (id TEXT PRIMARY KEY, weight TEXT NOT NULL REFERENCES reading, number TEXT NOT NULL,
    typed TEXT NOT NULL DEFAULT '', state TEXT NOT NULL, reason TEXT NOT NULL DEFAULT '', by TEXT NOT NULL DEFAULT '',
    made_at TEXT NOT NULL) WITHOUT ROWID;
CREATE UNIQUE INDEX pair_one_of_weight ON pair (weight) WHERE state != 'apart';
CREATE UNIQUE INDEX pair_one_of_number ON pair (number) WHERE state != 'apart' AND number != '';
CREATE INDEX pair_by_state ON pair (state, id);
CREATE TABLE upload (digest TEXT PRIMARY KEY, name TEXT NOT NULL, found_at TEXT NOT NULL, state TEXT NOT NULL,
    reason TEXT NOT NULL DEFAULT '', size INTEGER NOT NULL) WITHOUT ROWID;
"""
LAYOUT = Layout(1, SCHEMA)


class NotKept(Exception):  # noqa: N818
    """The file did not take it: the disk is full, another bridge has it, or it is not ours. The text is a sentence."""


class State(StrEnum):
    """Where a reading stands: waiting for its other half, in a pair, kept for a person, set aside by one."""

    WAITING = "waiting"
    PAIRED = "paired"
    KEPT = "kept"
    ASIDE = "aside"


class PairState(StrEnum):
    """Where a pair stands: its turn goes on, ready to go, given to the client's outbox, taken apart."""

    OPEN = "open"
    READY = "ready"
    GIVEN = "given"
    APART = "apart"


class Keeping(OwnFile):
    """The file, opened; for one thread, while others have it open by connections of their own."""

    FAULT = NotKept

    def __init__(self, path: Path) -> None:
        super().__init__(path, LAYOUT)

    @contextmanager
    def writing(self, *, durably: bool = True) -> Iterator[None]:
        """Write all that follows, or nothing of it, durably; inside another such block it is part of that."""
        if self._database.in_transaction:
            yield
            return
        with super().writing(durably=durably):
            yield

    def key(self) -> str:
        """The secret that opens this bridge's page: made once, 256 bits."""
        with self.writing():
            self.run("INSERT OR IGNORE INTO state VALUES ('key', ?)", [secrets.token_urlsafe(32)])
        return str(self.run("SELECT value FROM state WHERE key = 'key'").fetchone()[0])

    # Lines as they came

    def note_lines(self, lines: Sequence[tuple[str, str, str, str]], most: int) -> None:
        """Keep lines (time, port, text, what was understood) as they came, no more than `most` in all."""
        with self.writing():
            self.run_many("INSERT INTO raw (at, port, line, understood) VALUES (?, ?, ?, ?)", lines)
            self.run("DELETE FROM raw WHERE id <= (SELECT MAX(id) FROM raw) - ?", [most])

    def lines(self, most: int) -> list[tuple[str, str, str, str]]:
        """The latest lines, the latest first."""
        return self.run("SELECT at, port, line, understood FROM raw ORDER BY id DESC LIMIT ?", [most]).fetchall()

    # Readings

    def add(self, reading: Reading) -> None:
        """Store a reading that waits for its other half."""
        with self.writing():
            self.run(
                "INSERT INTO reading (id, kind, value, unit, flags, at, clock, port, line, state)"
                " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                [*reading.as_row(), State.WAITING],
            )

    def reading(self, key: str) -> Reading | None:
        """One reading."""
        row = self.run("SELECT * FROM reading WHERE id = ?", [key]).fetchone()
        return as_reading(row) if row else None

    def readings(self, state: State, most: int = 500) -> list[Reading]:
        """Readings in a state, oldest first; at most the 500 latest."""
        rows = self.run("SELECT * FROM reading WHERE state = ? ORDER BY id DESC LIMIT ?", [state, most]).fetchall()
        return [as_reading(row) for row in reversed(rows)]

    def mark(self, key: str, state: State, reason: str = "") -> None:
        """Put a reading into a state."""
        with self.writing():
            self.run("UPDATE reading SET state = ?, reason = ? WHERE id = ?", [state, reason, key])

    def counts(self) -> dict[str, int]:
        """How many readings and pairs stand in each state, as `reading kept`, `pair given`."""
        rows = self.run(
            "SELECT 'reading ' || state, COUNT(*) FROM reading GROUP BY state"
            " UNION ALL SELECT 'pair ' || state, COUNT(*) FROM pair GROUP BY state"
        )
        return dict(rows.fetchall())


def now() -> str:
    """This moment with its time zone."""
    return datetime.now().astimezone().isoformat(timespec="milliseconds")
