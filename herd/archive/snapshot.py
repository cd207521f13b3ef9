"""One moment of the database, held while the site goes on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DatabaseError, connection

# Written out, since Django would begin a transaction of SQLite with the write lock.
BEGIN = {
    "sqlite": "BEGIN DEFERRED",
    "postgresql": "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
}


@contextmanager
def one_moment() -> Iterator[None]:
    """Let every read in the block see the database as it was at the first; nobody waits for it.

    SQLite keeps the moment by its write-ahead log, PostgreSQL by the isolation level. Inside a transaction of the
    caller's it is that one, and the caller answers for what it sees.
    """
    if connection.in_atomic_block:
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(BEGIN[connection.vendor])
    try:
        yield
    finally:
        _let_go()


def _let_go() -> None:
    try:
        with connection.cursor() as cursor:
            cursor.execute("ROLLBACK")
    except DatabaseError:
        # The server has gone, and the moment with it; the next read opens a new connection.
        connection.close()
