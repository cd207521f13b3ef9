"""Judging what kind of file the bytes are before any library is given them."""

import zipfile
from typing import BinaryIO

from herd.intake.reading.outcome import Limits, UnreadableFile

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_BINARY = {
    b"%PDF": "a PDF document",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"GIF8": "a picture",
    b"BM6": "a picture",
    b"II*\x00": "a picture",
    b"MM\x00*": "a picture",
    b"MZ": "a program",
    b"\x7fELF": "a program",
    b"\x1f\x8b": "a packed archive",
    b"BZh": "a packed archive",
    b"7z\xbc\xaf": "a packed archive",
    b"Rar!": "a packed archive",
    b"\xfd7zXZ": "a packed archive",
    b"SQLite format 3": "a database",
    b"ID3": "a sound file",
    b"OggS": "a sound file",
    b"RIFF": "a sound or film file",
    b"PAR1": "a data file that is no table of text",
}
_SHEET_MIME = b"application/vnd.oasis.opendocument.spreadsheet"


def format_of(head: bytes, stream: BinaryIO, size: int, limits: Limits) -> str:
    """`text`, `xlsx`, `xls` or `ods` by the first bytes; raises UnreadableFile for what is no table."""
    if head.startswith(_OLE):
        _check_size(size, limits.max_workbook_bytes)
        return _ole_kind(stream)
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        _check_size(size, limits.max_workbook_bytes)
        return _zip_kind(stream, limits)
    for magic, what in _BINARY.items():
        if head.startswith(magic) and _looks_binary(head, magic):
            raise UnreadableFile("binary", f"This is {what}, not a table of text or a workbook.")
    _check_size(size, limits.max_bytes)
    return "text"


def _looks_binary(head: bytes, magic: bytes) -> bool:
    # "MZ" or "BM6" may begin a tag number in plain text, so a short mark needs control bytes beside it.
    controls = sum(1 for byte in head[:1024] if byte < 9 or 13 < byte < 32 or byte > 127)
    return len(magic) > 3 or magic == b"%PDF" or controls > 0


def _check_size(size: int, most: int) -> None:
    if size > most:
        raise UnreadableFile(
            "too_large", f"The file has {size:,} bytes; at most {most:,} bytes are read, so split it first."
        )


def _ole_kind(stream: BinaryIO) -> str:
    stream.seek(0)
    content = stream.read()
    if "EncryptedPackage".encode("utf-16-le") in content:
        raise UnreadableFile("password", "The workbook is protected by a password; save it without one.")
    if any(name.encode("utf-16-le") + b"\x00\x00" in content for name in ("Workbook", "Book")):
        return "xls"
    raise UnreadableFile("no_workbook", "This is an old office document, but it holds no workbook.")


def _zip_kind(stream: BinaryIO, limits: Limits) -> str:
    try:
        with zipfile.ZipFile(stream) as archive:
            parts = archive.infolist()
            _check_parts(parts, limits)
            names = {part.filename for part in parts}
            kind = _kind_by_parts(archive, names)
            for part in parts:
                _check_markup(archive, part)
            return kind
    except UnreadableFile:
        raise
    except Exception as error:
        raise UnreadableFile("damaged", "The workbook's package is damaged and cannot be unpacked.") from error


def _check_parts(parts: list[zipfile.ZipInfo], limits: Limits) -> None:
    unpacked = sum(part.file_size for part in parts)
    packed = sum(part.compress_size for part in parts)
    if any(part.flag_bits & 1 for part in parts):
        raise UnreadableFile("password", "The file is protected by a password; save it without one.")
    if unpacked > limits.max_unpacked_bytes:
        raise UnreadableFile("too_large", "The workbook unpacks to more than is allowed; split it first.")
    # Honest workbooks of repeated rows reach high ratios while small, so the ratio counts above 20 MiB.
    if unpacked > 20 * 1024 * 1024 and unpacked > packed * limits.max_ratio:
        raise UnreadableFile("too_large", "The workbook unpacks to a size out of all proportion and was not opened.")


def _kind_by_parts(archive: zipfile.ZipFile, names: set[str]) -> str:
    if "xl/workbook.xml" in names:
        return "xlsx"
    if "xl/workbook.bin" in names:
        return "xlsb"
    if "mimetype" in names and archive.read("mimetype").strip().startswith(_SHEET_MIME):
        return _open_document(archive, names)
    raise UnreadableFile("no_workbook", "This is a packed archive, but it holds no workbook.")


def _open_document(archive: zipfile.ZipFile, names: set[str]) -> str:
    if "META-INF/manifest.xml" in names and b"encryption-data" in archive.read("META-INF/manifest.xml"):
        raise UnreadableFile("password", "The workbook is protected by a password; save it without one.")
    return "ods"


def _check_markup(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    # Spreadsheet packages never need a document type; one that declares entities is built to explode.
    if not part.filename.lower().endswith((".xml", ".rels")):
        return
    with archive.open(part) as content:
        start = content.read(65_536).replace(b"\x00", b"").upper()
    if b"<!DOCTYPE" in start or b"<!ENTITY" in start:
        raise UnreadableFile("damaged", "The workbook's markup declares entities, which a workbook never needs.")
