"""The client's one file: an SQLite database with the token, the outbox, and the local copy of the herd."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Self

from herd.client.faults import Busy, NotHere, NotStored
from herd.client.ownfile import Layout, OwnFile, make

# `operation` is the outbox and what was acknowledged; `card` and `number` are the copy that is shown, `staged` what
# is on its way there. A number with a `dseq` comes from an operation of ours that the copy does not show yet.
SCHEMA = """
CREATE TABLE state (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE operation (
    dseq INTEGER PRIMARY KEY, op_id TEXT NOT NULL UNIQUE, grp TEXT, kind TEXT NOT NULL, who TEXT NOT NULL,
    body TEXT NOT NULL, status TEXT NOT NULL DEFAULT 'unsent', answer TEXT NOT NULL DEFAULT '{}',
    epoch TEXT NOT NULL DEFAULT '', answered_at TEXT NOT NULL DEFAULT '', tries INTEGER NOT NULL DEFAULT 0,
    is_pulled INTEGER NOT NULL DEFAULT 0);
CREATE INDEX operation_in_order ON operation (status, tries, dseq);
CREATE INDEX operation_by_who ON operation (who);
CREATE TABLE card (
    kind TEXT, id TEXT, grp TEXT, body TEXT NOT NULL, PRIMARY KEY (kind, id)) WITHOUT ROWID;
CREATE INDEX card_by_group ON card (grp);
CREATE TABLE number (animal TEXT NOT NULL, kind TEXT NOT NULL, number TEXT NOT NULL, colour TEXT NOT NULL,
    back TEXT NOT NULL, dseq INTEGER);
CREATE INDEX number_forwards ON number (number);
CREATE INDEX number_backwards ON number (back);
CREATE INDEX number_by_animal ON number (animal);
CREATE TABLE alias (id TEXT PRIMARY KEY, animal TEXT NOT NULL) WITHOUT ROWID;
CREATE TABLE staged (
    kind TEXT, id TEXT, state TEXT NOT NULL, animal TEXT, body TEXT, PRIMARY KEY (kind, id)) WITHOUT ROWID;
"""
# What a file of each version lacks. Both are about the few operations of ours that the copy does not show yet, so that
# a pull costs the same however many were sent in a month.
CHANGES = {
    1: """
CREATE INDEX operation_not_pulled ON operation (status) WHERE is_pulled = 0;
CREATE INDEX number_of_ours ON number (dseq) WHERE dseq IS NOT NULL;
"""
}


LAYOUT = Layout(2, SCHEMA, CHANGES)


class Store(OwnFile):
    """The file, opened; used by one thread, while other processes may have it open too."""

    FAULT = NotStored

    def __init__(self, path: Path) -> None:
        super().__init__(path, LAYOUT)
        with self._told():
            # The file may have come here by a copy that everyone could read.
            os.chmod(path, 0o600)
            self._database.create_function("backwards", 1, lambda text: text[::-1], deterministic=True)

    @classmethod
    def make(cls, path: Path) -> Self:
        """Open the file, making it where there is none, readable by its owner only; raises NotStored."""
        return cls(path)

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open a file that is there; raises NotHere, and NotStored for a file that is not ours."""
        if not path.exists():
            raise NotHere(f"There is no file {path.name} here yet: enrol this device first.")
        return cls(path)

    def get(self, key: str) -> str:
        """A value of the client's state, empty where there is none."""
        found = self.run("SELECT value FROM state WHERE key = ?", [key]).fetchone()
        return found[0] if found else ""

    def put(self, **values: str) -> None:
        """Keep values of the client's state."""
        self.run_many("INSERT OR REPLACE INTO state VALUES (?, ?)", list(values.items()))

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Be the only process that talks with the server for this file; raises Busy where another does."""
        with alone(self.path):
            yield


@contextmanager
def alone(path: Path) -> Iterator[None]:
    """Be the only process that works on a file; raises Busy where another does.

    The system lets go of the lock when a process dies, whatever it dies of.
    """
    lock = path.with_name(path.name + ".lock")
    make(lock)
    holder = sqlite3.connect(lock, timeout=0, isolation_level=None)
    try:
        holder.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as problem:
        holder.close()
        raise Busy(f"Another program is at work on {path.name} at the moment.") from problem
    try:
        yield
    finally:
        holder.close()
