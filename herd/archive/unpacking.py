"""Reads an archive and trusts nothing in it: names, sizes, hashes and counts are compared before a row is used."""

import hashlib
import os
import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from django.conf import settings

from herd.archive import manifest
from herd.archive.manifest import Manifest, Part, read_manifest
from herd.archive.refused import ArchiveRefused

CHUNK = 1024 * 1024
MOST_MANIFEST = 64 * 1024 * 1024
MOST_LINE = 64 * 1024 * 1024
# Tables of herds pack to a tenth or a twentieth; what unpacks to hundreds of times its size is no table.
MOST_RATIO = 250
FREE_OF_RATIO = 16 * 1024 * 1024
BROKEN = (BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, struct.error, ValueError)


class Archive:
    """An archive that is open for reading; made by `open_archive`."""

    def __init__(self, zipped: ZipFile, contents: Manifest) -> None:
        self._zipped = zipped
        self.contents = contents

    def verify(self) -> None:
        """Unpack every file and compare; raises ArchiveRefused naming the first that is not as it was written."""
        for part in self.contents.parts:
            for _ in self._pieces(part):
                pass

    def lines(self, part: Part) -> Iterator[bytes]:
        """Yield the lines of a table, in flat memory; raises ArchiveRefused."""
        rest = b""
        for piece in self._pieces(part):
            *whole, rest = (rest + piece).split(b"\n")
            yield from whole
            if len(rest) > MOST_LINE:
                raise ArchiveRefused(f"{part.name} has a line longer than any row of a record.")

    def content(self, part: Part) -> bytes:
        """Return a field file's bytes; raises ArchiveRefused."""
        return b"".join(self._pieces(part))

    def _pieces(self, part: Part) -> Iterator[bytes]:
        digest, size, rows, last = hashlib.sha256(), 0, 0, b"\n"
        for piece in read_entry(self._zipped, part.name, part.bytes):
            digest.update(piece)
            size += len(piece)
            rows += piece.count(b"\n")
            last = piece[-1:]
            yield piece
        is_table = part.name.startswith("tables/")
        if size != part.bytes or digest.hexdigest() != part.sha256:
            raise ArchiveRefused(f"{part.name} is not as it was written: its bytes differ from the list of contents.")
        if is_table and (rows != part.rows or last != b"\n"):
            raise ArchiveRefused(f"{part.name} has {rows} rows where the list of contents says {part.rows}.")


@contextmanager
def open_archive(source: Path | IO[bytes]) -> Iterator[Archive]:
    """Open an archive, its list of contents compared with what is there; raises ArchiveRefused."""
    name = source.name if isinstance(source, Path) else "The archive"
    try:
        zipped = ZipFile(source)
    except OSError as problem:
        raise ArchiveRefused(f"{name} can't be opened: {os.strerror(problem.errno or 0)}.") from problem
    except BROKEN as problem:
        raise ArchiveRefused(f"{name} is no archive, or its end is cut off.") from problem
    with zipped:
        yield Archive(zipped, _contents(zipped, name))


def read_entry(zipped: ZipFile, name: str, most: int) -> Iterator[bytes]:
    """Yield a file's bytes, never more than `most` and one piece; raises ArchiveRefused naming the file."""
    size = 0
    try:
        with zipped.open(name) as entry:
            while size <= most and (piece := entry.read(CHUNK)):
                size += len(piece)
                yield piece
    except BROKEN as problem:
        raise ArchiveRefused(f"{name} in the archive is damaged and can't be unpacked.") from problem
    except OSError as problem:
        raise ArchiveRefused(f"{name} in the archive can't be read: {problem.strerror}.") from problem


def _contents(zipped: ZipFile, name: str) -> Manifest:
    entries: dict[str, ZipInfo] = {}
    for info in zipped.infolist():
        if info.filename in entries:
            raise ArchiveRefused(f"{name} has two files called {info.filename}.")
        if info.flag_bits & 1 or info.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
            raise ArchiveRefused(f"{info.filename} in the archive is packed in a way that archives never are.")
        entries[info.filename] = info
    if manifest.ENTRY not in entries:
        raise ArchiveRefused(f"{name} has no {manifest.ENTRY}: it is no archive, or not all of one.")
    text = b"".join(read_entry(zipped, manifest.ENTRY, MOST_MANIFEST))
    if len(text) > MOST_MANIFEST:
        raise ArchiveRefused(f"{manifest.ENTRY} is larger than any list of contents.")
    found = read_manifest(text)
    _compare(found, entries)
    return found


def _compare(contents: Manifest, entries: dict[str, ZipInfo]) -> None:
    """Refuse files that are missing, that nobody listed, or whose sizes can't be true."""
    for part in contents.parts:
        info = entries.get(part.name)
        if info is None:
            raise ArchiveRefused(f"{part.name} is missing from the archive.")
        if info.file_size != part.bytes:
            raise ArchiveRefused(f"{part.name} is not as it was written: its size differs from the list of contents.")
        if part.name.startswith("files/"):
            if part.bytes > settings.FIELD_FILE_MAX_BYTES:
                raise ArchiveRefused(f"{part.name} is larger than any field file may be.")
        elif part.bytes > FREE_OF_RATIO and part.bytes > info.compress_size * MOST_RATIO:
            raise ArchiveRefused(f"{part.name} unpacks to far more than any table of its size does.")
    listed = {part.name for part in contents.parts}
    if extra := sorted(entries.keys() - listed - {manifest.ENTRY, "README.txt"}):
        raise ArchiveRefused(f"{extra[0]} lies in the archive, but not in its list of contents.")
