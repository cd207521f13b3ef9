"""Brings an installation up to date before it serves: database, static files, folders for the broker."""

import hashlib
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import OperationalError, connection

from herd.config.locks import file_lock

ADVISORY_LOCK = 0x4E6F7463
LOCK_SECONDS, LOCK_PAUSE, LOCK_TRIES = 3, 5, 30
# lock_not_available, PostgreSQL manual, appendix A.
LOCKED = "55P03"


def bring_up_to_date(say: Callable[[str], None]) -> None:
    """Migrate the database, collect the static files, make the broker's folders; safe at any time.

    Raises CommandError where the database does not answer.
    """
    try:
        connection.ensure_connection()
    except OperationalError as problem:
        raise CommandError(f"The database does not answer: {problem}") from problem
    with one_at_a_time(say):
        say("Bringing the database up to date.")
        _migrate(say)
        _collect_static()
    for name in ("waiting", "done", "control"):
        (settings.BROKER_DIR / name).mkdir(parents=True, exist_ok=True)


def _collect_static() -> None:
    """Collect the static files where one of them is not as it was collected last; packing all takes seconds."""
    stamp, now = settings.STATIC_ROOT / ".collected", _state_of_static()
    if stamp.exists() and stamp.read_text() == now:
        return
    stamp.unlink(missing_ok=True)
    call_command("collectstatic", interactive=False, verbosity=0)
    stamp.write_text(now)


def _state_of_static() -> str:
    """A digest of where each static file lies, how large it is, and when it was written."""
    found = hashlib.sha256()
    for finder in get_finders():
        for path, storage in finder.list([]):
            known = Path(storage.path(path)).stat()
            found.update(f"{path} {known.st_size} {known.st_mtime_ns}\n".encode())
    return found.hexdigest()


def _migrate(say: Callable[[str], None]) -> None:
    """Migrate; on PostgreSQL never waiting long for a lock, since all who ask for the table then wait behind it."""
    if connection.vendor != "postgresql":
        call_command("migrate", interactive=False, verbosity=0)
        return
    for tries in range(1, LOCK_TRIES + 1):
        with connection.cursor() as cursor:
            cursor.execute("SELECT set_config('lock_timeout', %s, false)", [f"{LOCK_SECONDS}s"])
        try:
            call_command("migrate", interactive=False, verbosity=0)
        except OperationalError as problem:
            if getattr(problem.__cause__, "sqlstate", "") != LOCKED or tries == LOCK_TRIES:
                raise
            say(f"Someone works on a table that is to be changed; trying again in {LOCK_PAUSE} s.")
            time.sleep(LOCK_PAUSE)
        else:
            break
    with connection.cursor() as cursor:
        cursor.execute("RESET lock_timeout")


@contextmanager
def one_at_a_time(say: Callable[[str], None]) -> Iterator[None]:
    """Hold the upgrade for this process alone, by a file; by PostgreSQL's own lock between machines."""
    waiting = "Another start is bringing the installation up to date; waiting for it."
    with file_lock(settings.VAR_DIR / "upgrade.lock", when_waiting=lambda: say(waiting)):
        if connection.vendor != "postgresql":
            yield
            return
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_lock(%s)", [ADVISORY_LOCK])
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_unlock(%s)", [ADVISORY_LOCK])
