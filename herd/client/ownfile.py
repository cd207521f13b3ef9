"""A program's own SQLite file: readable by its owner only, written whole and durably, its faults told in sentences."""

import os
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, ClassVar

BUSY_SECONDS = 30


@dataclass(frozen=True, slots=True)
class Layout:
    """The tables of a file of this version; `changes` holds what a file of each earlier version lacks."""

    version: int
    schema: str
    changes: Mapping[int, str] = field(default_factory=dict)

    def lacked(self, version: int) -> str:
        """The statements that bring a file of a version, 0 for an empty one, to this one."""
        made = [self.schema] if version == 0 else []
        return "".join([*made, *(self.changes[one] for one in range(max(version, 1), self.version))])


class OwnFile:
    """The file, opened; used by one thread, while others may have it open by connections of their own."""

    FAULT: ClassVar[type[Exception]]

    def __init__(self, path: Path, layout: Layout) -> None:
        self.path = path
        with self._told():
            make(path)
            self._database = _connect(path, layout)

    def close(self) -> None:
        """Close the file."""
        self._database.close()

    @contextmanager
    def writing(self, *, durably: bool = True) -> Iterator[None]:
        """Write all that follows, or nothing of it; raises FAULT.

        What need not be there `durably` is not waited for until it is on the disk: a power cut may take the last of
        it, each time whole.
        """
        with self._told():
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
        """Run one statement; raises FAULT."""
        with self._told():
            return self._database.execute(statement, values)

    def run_many(self, statement: str, rows: Sequence[Sequence[Any]]) -> None:
        """Run one statement for each row; raises FAULT."""
        with self._told():
            self._database.executemany(statement, rows)

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except (sqlite3.Error, OSError) as problem:
            said = "What it held before is still in it; nothing new was stored."
            raise self.FAULT(f"{self.path.name} can't be used ({problem}). {said}") from problem


def make(path: Path) -> None:
    """Make an empty file that only its owner may read, where there is none."""
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL, 0o600))


def _connect(path: Path, layout: Layout) -> sqlite3.Connection:
    database = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    database.execute("PRAGMA journal_mode=WAL")
    # What was called stored must outlive a power cut.
    database.execute("PRAGMA synchronous=FULL")
    database.execute("BEGIN IMMEDIATE")
    version = database.execute("PRAGMA user_version").fetchone()[0]
    for statement in layout.lacked(version).split(";")[:-1]:
        database.execute(statement)
    if version < layout.version:
        database.execute(f"PRAGMA user_version={layout.version}")
    database.execute("COMMIT")
    if version > layout.version:
        raise sqlite3.DatabaseError("it was made by a newer version of this program")
    return database
