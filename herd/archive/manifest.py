"""The list of contents of an archive: what it is, and each file's size and hash."""

import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from herd.archive.refused import ArchiveRefused
from herd.archive.schema import Schema

FORMAT = 1
ENTRY = "manifest.json"
OUTFIT, INSTALLATION = "outfit", "installation"

_ID = "[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"
# No other name is ever looked for, so that an archive can't reach outside itself.
PART_NAME = re.compile(rf"tables/[a-z]+\.[a-z]+\.ndjson|files/{_ID}/{_ID}")


@dataclass(frozen=True, slots=True)
class Part:
    """A file in the archive: its name, bytes unpacked and their SHA-256; of a table the rows as well."""

    name: str
    bytes: int
    sha256: str
    rows: int = 0


@dataclass(frozen=True, slots=True)
class ArchivedOutfit:
    """An outfit in the archive, with the last position of its feed."""

    id: str
    code: str
    name: str
    feed_position: int


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an archive says of itself; `kind` is OUTFIT or INSTALLATION, `made_at` a moment in ISO 8601."""

    kind: str
    made_at: str
    schema: Schema
    has_passwords: bool
    outfits: tuple[ArchivedOutfit, ...]
    tables: tuple[Part, ...]
    files: tuple[Part, ...]

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every file of the archive but the manifest and the README."""
        return self.tables + self.files

    @property
    def rows(self) -> int:
        """Rows of all tables."""
        return sum(part.rows for part in self.tables)

    def to_json(self) -> str:
        """Write it as it stands in the archive."""
        return json.dumps({"format": FORMAT, **asdict(self)}, indent=1)


def read_manifest(text: bytes) -> Manifest:
    """Read a manifest; raises ArchiveRefused for another format or anything out of place."""
    try:
        given = json.loads(text)
        if given["format"] != FORMAT:
            raise ArchiveRefused(f"{ENTRY} says format {given['format']!r}; this program reads format {FORMAT}.")
        found = Manifest(
            kind=_one_of(given["kind"], OUTFIT, INSTALLATION),
            made_at=_is(str, given["made_at"]),
            schema={_is(str, app): [_is(str, name) for name in names] for app, names in given["schema"].items()},
            has_passwords=_is(bool, given["has_passwords"]),
            outfits=tuple(ArchivedOutfit(**one) for one in given["outfits"]),
            tables=tuple(_part(one) for one in given["tables"]),
            files=tuple(_part(one) for one in given["files"]),
        )
    except ArchiveRefused:
        raise
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as problem:
        raise ArchiveRefused(f"{ENTRY} can't be read: {problem}.") from problem
    names = [part.name for part in found.parts]
    if len(set(names)) < len(names):
        raise ArchiveRefused(f"{ENTRY} names a file twice.")
    return found


def _part(given: Mapping[str, Any]) -> Part:
    part = Part(**given)
    if not PART_NAME.fullmatch(_is(str, part.name)):
        raise ValueError(f"{part.name!r} is not the name of a file of an archive")
    if min(_is(int, part.bytes), _is(int, part.rows)) < 0:
        raise ValueError(f"{part.name} has a size below nothing")
    _is(str, part.sha256)
    return part


def _is(kind: type, value: Any) -> Any:
    if type(value) is not kind:
        raise ValueError(f"{value!r} should be {kind.__name__}")
    return value


def _one_of(value: Any, *words: str) -> str:
    if value not in words:
        raise ValueError(f"{value!r} should be {' or '.join(words)}")
    return str(value)
