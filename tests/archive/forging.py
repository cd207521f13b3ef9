"""Writes archives that lie: changed rows with fitting hashes, changed bytes, files that nobody listed."""

import hashlib
import io
import json
from collections.abc import Callable
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

Change = Callable[[dict[str, Any]], Any]


def entries_of(archive: bytes) -> dict[str, bytes]:
    """Every file of an archive by name."""
    with ZipFile(io.BytesIO(archive)) as zipped:
        return {name: zipped.read(name) for name in zipped.namelist()}


def zip_of(entries: dict[str, bytes]) -> bytes:
    """Pack files into an archive again."""
    into = io.BytesIO()
    with ZipFile(into, "w", ZIP_DEFLATED) as zipped:
        for name, content in entries.items():
            zipped.writestr(name, content)
    return into.getvalue()


def listed_anew(entries: dict[str, bytes], **changed: Any) -> bytes:
    """Pack files with a manifest whose sizes, hashes and rows fit them, and whose other words may be changed."""
    manifest = json.loads(entries["manifest.json"]) | changed
    for part in manifest["tables"] + manifest["files"]:
        content = entries[part["name"]]
        part |= {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        if part["name"].startswith("tables/"):
            part["rows"] = content.count(b"\n")
    return zip_of(entries | {"manifest.json": json.dumps(manifest).encode()})


def forge(archive: bytes, table: str, change: Change, *, text: bytes = b"") -> bytes:
    """Return the archive with every row of a table changed, or the table's text replaced, and its hash fitting."""
    entries = entries_of(archive)
    name = f"tables/{table}.ndjson"
    rows = [json.dumps(change(json.loads(line))).encode() + b"\n" for line in entries[name].splitlines()]
    return listed_anew(entries | {name: text or b"".join(rows)})
