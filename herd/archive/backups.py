"""The folder of backups: makes one that can be trusted, or none, and lets go of old ones."""

import errno
import os
import re
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO
from uuid import uuid4

from django.utils import timezone

from herd.accounts.models import Outfit
from herd.archive.manifest import Manifest
from herd.archive.packing import pack
from herd.archive.refused import ArchiveRefused
from herd.archive.unpacking import open_archive

Say = Callable[[str], object]

STAMP = "%Y-%m-%dT%H%M%SZ"
NAME = re.compile(r"notchbook-(\d{4}-\d\d-\d\dT\d{6}Z)(?:-\d+)?\.zip")
PARTIAL = ".partial"
# A file under way is written to all the time; one that lay still for an hour has lost its writer.
LEFT_SECONDS = 3_600


@dataclass(frozen=True, slots=True)
class Backup:
    """A finished backup in the folder."""

    path: Path
    made_at: datetime
    bytes: int


def write_archive(path: Path, outfit: Outfit | None, *, with_passwords: bool, say: Say = lambda _: None) -> Manifest:
    """Write an archive at a path where there is nothing yet; it appears there whole and verified, or not at all.

    Raises ArchiveRefused where the path is taken, the folder can't be written to, or there is no room.
    """
    if path.exists():
        raise ArchiveRefused(f"{path} is there already and was left as it is; choose another name.")
    with _telling_of(path.parent), _partial(path) as (unfinished, file):
        contents = pack(file, outfit, with_passwords=with_passwords, say=say)
        file.flush()
        os.fsync(file.fileno())
        with open_archive(unfinished) as archive:
            if archive.contents != contents:
                raise ArchiveRefused(f"{path} was not written as it should be; nothing was kept.")
            archive.verify()
        file.close()
        os.replace(unfinished, path)
        _keep_name(path.parent)
    return contents


def lend_archive(outfit: Outfit, folder: Path) -> IO[bytes]:
    """Return a verified archive of an outfit, without passwords, open at its start; closing it removes it.

    It lies in the folder while it is open. Raises ArchiveRefused where the folder has no room for it.
    """
    with _telling_of(folder):
        file: IO[bytes] = tempfile.TemporaryFile(dir=folder, prefix="lent-")  # noqa: SIM115 (whoever borrows it closes it)
        try:
            pack(file, outfit, with_passwords=False)
            with open_archive(file) as archive:
                archive.verify()
            file.seek(0)
        except BaseException:
            file.close()
            raise
    return file


def back_up(folder: Path, *, keep: int | None, say: Say = lambda _: None) -> tuple[Path, Manifest]:
    """Write a backup of the whole installation into the folder; return its path and contents.

    Of those there before the newest stay, `keep` in all, and only once the new one is verified. Raises ArchiveRefused.
    """
    with _telling_of(folder):
        folder.mkdir(parents=True, exist_ok=True)
    _clear_left(folder)
    path = _free_name(folder)
    contents = write_archive(path, None, with_passwords=True, say=say)
    if keep is not None:
        others = [one for one in backups_in(folder) if one.path != path]
        for old in others[max(keep - 1, 0) :]:
            with suppress(OSError):
                old.path.unlink()
                say(f"Let go of {old.path.name}.")
    return path, contents


def backups_in(folder: Path) -> list[Backup]:
    """Return the finished backups of a folder, newest first; anything else in it is passed over."""
    found = []
    for path in folder.glob("notchbook-*.zip") if folder.is_dir() else ():
        named = NAME.fullmatch(path.name)
        with suppress(OSError, ValueError):
            if named:
                made_at = datetime.strptime(named[1], STAMP).replace(tzinfo=UTC)
                found.append(Backup(path, made_at, path.stat().st_size))
    return sorted(found, key=lambda one: (one.made_at, one.path.name), reverse=True)


def _free_name(folder: Path) -> Path:
    stamp = timezone.now().astimezone(UTC).strftime(STAMP)
    path, number = folder / f"notchbook-{stamp}.zip", 1
    while path.exists():
        number += 1
        path = folder / f"notchbook-{stamp}-{number}.zip"
    return path


@contextmanager
def _partial(path: Path) -> Iterator[tuple[Path, IO[bytes]]]:
    """Open a file beside the path under a name that no one takes for an archive; gone at the end of the block.

    Only its owner may read it: the archive holds people's names and may hold the hashes of their passwords.
    """
    unfinished = path.with_name(f".{path.name}.{uuid4().hex[:8]}{PARTIAL}")
    handle = os.open(unfinished, os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o600)
    try:
        with os.fdopen(handle, "w+b") as file:
            yield unfinished, file
    finally:
        unfinished.unlink(missing_ok=True)


@contextmanager
def _telling_of(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as problem:
        if problem.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            raise ArchiveRefused(
                f"There is no room left in {folder}: the file was given up and removed. What was there before is kept."
            ) from problem
        raise ArchiveRefused(f"{folder} can't be written to: {problem.strerror}.") from problem


def _keep_name(folder: Path) -> None:
    """Bring the new name to the disk too, where the system can (POSIX)."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _clear_left(folder: Path) -> None:
    """Remove what a backup that was killed has left."""
    for left in folder.glob(f".notchbook-*{PARTIAL}"):
        with suppress(OSError):
            if timezone.now().timestamp() - left.stat().st_mtime > LEFT_SECONDS:
                left.unlink()
