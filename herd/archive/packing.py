"""Writes an archive: every table row by row, every field file piece by piece, the list of contents last."""

import hashlib
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from itertools import islice
from typing import IO, Any
from uuid import UUID
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from django.db.models import BinaryField, F, Model
from django.db.models.functions import Substr
from django.utils import timezone

from herd.accounts.models import Outfit, Person
from herd.archive import manifest
from herd.archive.manifest import ArchivedOutfit, Manifest, Part
from herd.archive.readme import README
from herd.archive.rowtext import to_line
from herd.archive.schema import schema_here
from herd.archive.snapshot import one_moment
from herd.archive.tables import TABLES, ArchiveTable, file_entry
from herd.intake.models import FieldFile
from herd.ledger.models import FeedCounter
from herd.sync.models import Device, Upstream

STEP = 2_000
PIECE = 4 * 1024 * 1024

Say = Callable[[str], object]

# What an outfit's archive says in place of secrets and of rights over the installation: people may work elsewhere
# too, and a device's token would open this installation.
WITHHELD: Mapping[type[Model], Mapping[str, Any]] = {
    Person: {"password": "!", "last_login": None, "is_superuser": False, "is_staff": False},
    Device: {"token_hash": "", "code_hash": "", "code_until": None},
    Upstream: {"token": ""},
}


def pack(into: IO[bytes], outfit: Outfit | None, *, with_passwords: bool, say: Say = lambda _: None) -> Manifest:
    """Write an archive of one outfit, or of the whole installation where none is given; return its contents.

    All of it is read at one moment. `with_passwords` keeps the hashes of passwords and devices' tokens as well.
    Memory stays flat; raises OSError where there is no room left.
    """
    made_at = timezone.now()
    with one_moment(), ZipFile(into, "w", ZIP_DEFLATED, allowZip64=True) as archive:
        packer = _Packer(archive, made_at)
        packer.write("README.txt", iter([README.encode()]))
        tables = []
        for table in TABLES:
            lines = _Lines(table, outfit, {} if with_passwords else WITHHELD.get(table.model, {}))
            size, digest = packer.write(table.entry, lines.pieces())
            tables.append(Part(table.entry, size, digest, lines.count))
            say(f"{table.label}: {lines.count} rows")
        files = list(_pack_files(packer, outfit))
        say(f"{len(files)} field files")
        contents = Manifest(
            kind=manifest.OUTFIT if outfit else manifest.INSTALLATION,
            made_at=made_at.isoformat(timespec="seconds"),
            schema=schema_here(),
            has_passwords=with_passwords,
            outfits=_outfits(outfit),
            tables=tuple(tables),
            files=tuple(files),
        )
        packer.write(manifest.ENTRY, iter([contents.to_json().encode()]))
    return contents


class _Packer:
    """Writes files into the archive, each with its size and hash."""

    def __init__(self, archive: ZipFile, made_at: datetime) -> None:
        self._archive = archive
        self._dated = made_at.timetuple()[:6]

    def write(self, name: str, pieces: Iterator[bytes]) -> tuple[int, str]:
        """Write one file and return its bytes and their SHA-256."""
        info = ZipInfo(name, self._dated)
        info.compress_type = ZIP_DEFLATED
        info.external_attr = 0o600 << 16
        digest, size = hashlib.sha256(), 0
        with self._archive.open(info, "w", force_zip64=True) as entry:
            for piece in pieces:
                entry.write(piece)
                digest.update(piece)
                size += len(piece)
        return size, digest.hexdigest()


class _Lines:
    """The lines of one table, counted as they pass."""

    def __init__(self, table: ArchiveTable, outfit: Outfit | None, withheld: Mapping[str, Any]) -> None:
        self._table = table
        self._outfit = outfit
        self._withheld = withheld
        self.count = 0

    def pieces(self) -> Iterator[bytes]:
        """Yield the lines, many at a time."""
        names = [field.attname for field in self._table.fields]
        replaced = {names.index(name): value for name, value in self._withheld.items()}
        rows = self._table.rows(self._outfit).values_list(*names).iterator(chunk_size=STEP)
        while some := list(islice(rows, STEP)):
            self.count += len(some)
            if replaced:
                some = [[replaced.get(place, value) for place, value in enumerate(row)] for row in some]
            yield "".join(f"{to_line(names, row)}\n" for row in some).encode("ascii")


def _pack_files(packer: _Packer, outfit: Outfit | None) -> Iterator[Part]:
    files = FieldFile.objects.order_by("pk")
    if outfit:
        files = files.filter(day__outfit=outfit)
    for day_id, file_id in files.values_list("day_id", "pk").iterator(chunk_size=STEP):
        name = file_entry(day_id, file_id)
        size, digest = packer.write(name, _pieces_of(file_id))
        yield Part(name, size, digest)


def _pieces_of(file_id: UUID) -> Iterator[bytes]:
    """Yield a field file's bytes in pieces, since it may be larger than memory should ever hold twice."""
    row = FieldFile.objects.filter(pk=file_id)
    start = 1
    while True:
        piece = Substr(F("content"), start, PIECE, output_field=BinaryField())
        found = bytes(row.values_list(piece, flat=True).get() or b"")
        if found:
            yield found
        if len(found) < PIECE:
            return
        start += PIECE


def _outfits(outfit: Outfit | None) -> tuple[ArchivedOutfit, ...]:
    heads = {counter.outfit_id: counter.position for counter in FeedCounter.objects.all()}
    rows = Outfit.objects.order_by("code")
    return tuple(
        ArchivedOutfit(str(one.pk), one.code, one.name, heads.get(one.pk, 0))
        for one in (rows.filter(pk=outfit.pk) if outfit else rows)
    )
