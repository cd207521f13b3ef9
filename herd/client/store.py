"""The client's one file: an SQLite database with the token, the outbox, and the local copy of the herd."""

import os
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Self

from herd.client.faults import Busy, NotHere, NotStored

VERSION = 2
BUSY_SECONDS = 30

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


class Store:
    """The file, opened; used by one thread, while other processes may have it open too."""

    def __init__(self, path: Path, database: sqlite3.Connection) -> None:
        self.path = path
        self._database = database

    @classmethod
    def make(cls, path: Path) -> Self:
        """Open the file, making it where there is none, readable by its owner only; raises NotStored."""
        with _told(path):
            with suppress(FileExistsError):
                os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))
            os.chmod(path, 0o600)
            return cls(path, _connect(path))

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open a file that is there; raises NotHere, and NotStored for a file that is not ours."""
        if not path.exists():
            raise NotHere(f"There is no file {path.name} here yet: enrol this device first.")
        return cls.make(path)

    def close(self) -> None:
        """Close the file."""
        self._database.close()

    @contextmanager
    def writing(self, *, durably: bool = True) -> Iterator[None]:
        """Write all that follows, or nothing of it; raises NotStored.

        What need not be there `durably`, as it can be had from the server again, is not waited for until it is on the
        disk: a power cut may take the last of it, each time whole.
        """
        with _told(self.path):
            self._database.execute(f"PRAGMA synchronous={'FULL' if durably else 'NORMAL'}")
            self._database.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._database.execute("COMMIT")
            except BaseException:
                # A full disk has ended the transaction by itself.
                if self._database.in_transaction:
                    self._database.execute("ROLLBACK")
                raise

    def run(self, statement: str, values: Sequence[Any] | Mapping[str, Any] = ()) -> sqlite3.Cursor:
        """Run one statement; raises NotStored."""
        with _told(self.path):
            return self._database.execute(statement, values)

    def run_many(self, statement: str, rows: Sequence[Sequence[Any]]) -> None:
        """Run one statement for each row; raises NotStored."""
        with _told(self.path):
            self._database.executemany(statement, rows)

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
    with suppress(FileExistsError):
        os.close(os.open(lock, os.O_CREAT | os.O_EXCL, 0o600))
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


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, OSError) as problem:
        said = "What it held before is still in it; nothing new was stored."
        raise NotStored(f"{path.name} can't be used ({problem}). {said}") from problem


def _connect(path: Path) -> sqlite3.Connection:
    database = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    database.execute("PRAGMA journal_mode=WAL")
    # An operation that was called stored must outlive a power cut.
    database.execute("PRAGMA synchronous=FULL")
    database.create_function("backwards", 1, lambda text: text[::-1], deterministic=True)
    database.execute("BEGIN IMMEDIATE")
    version = database.execute("PRAGMA user_version").fetchone()[0]
    made = [SCHEMA] if version == 0 else []
    for statement in "".join([*made, *(CHANGES[one] for one in range(max(version, 1), VERSION))]).split(";")[:-1]:
        database.execute(statement)
    if version < VERSION:
        database.execute(f"PRAGMA user_version={VERSION}")
    database.execute("COMMIT")
    if version > VERSION:
        raise sqlite3.DatabaseError("it was made by a newer version of this program")
    return database
