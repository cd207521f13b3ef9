"""A file that is cut short, changed or made to harm is refused, with the name of what is wrong in it."""

import io
import json
import random
from collections.abc import Callable
from pathlib import Path
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile

import pytest

from herd.accounts.models import Outfit
from herd.archive import unpacking
from herd.archive.refused import ArchiveRefused
from herd.archive.unpacking import open_archive
from tests.archive.conftest import Packed, load
from tests.archive.forging import entries_of, listed_anew, zip_of

ANIMALS = "tables/registry.animal.ndjson"


@pytest.fixture
def whole(packed: Callable[..., Packed]) -> bytes:
    return packed().bytes


def refused(archive: bytes) -> str:
    """What is said of an archive that is refused; nothing of it may stay."""
    with pytest.raises(ArchiveRefused) as said:
        load(archive)
    assert not Outfit.objects.exists()
    return str(said.value)


def test_a_file_cut_off_anywhere_is_refused(whole: bytes) -> None:
    for part in range(20):
        assert "end is cut off" in refused(whole[: len(whole) * part // 20])
    assert "end is cut off" in refused(whole[:-1])


def test_a_byte_changed_in_a_table_names_the_table(whole: bytes) -> None:
    with ZipFile(io.BytesIO(whole)) as zipped:
        info = zipped.getinfo(ANIMALS)
    # Past the entry's own head of 30 bytes, its name and the 20 bytes for large sizes.
    start = info.header_offset + 30 + len(ANIMALS) + 20
    # The very last byte is partly padding, which says nothing.
    for place in range(start, start + info.compress_size - 1, max(info.compress_size // 40, 1)):
        changed = bytearray(whole)
        changed[place] ^= 0x10
        assert ANIMALS in refused(bytes(changed))


def test_a_byte_changed_anywhere_is_refused_or_harmless(whole: bytes) -> None:
    chance = random.Random(20_261_125)
    entries = entries_of(whole)
    said = 0
    for _ in range(200):
        changed = bytearray(whole)
        changed[chance.randrange(len(whole))] ^= 1 << chance.randrange(8)
        try:
            with open_archive(io.BytesIO(bytes(changed))) as archive:
                read = {part.name: archive.content(part) for part in archive.contents.parts}
        except ArchiveRefused:
            said += 1
        else:
            # The README, and dates in the heads of entries, which nothing is read from.
            assert read == {name: entries[name] for name in read}
    assert said > 100


def test_text_changed_behind_a_right_checksum_of_the_zip_is_refused(whole: bytes) -> None:
    entries = entries_of(whole)
    changed = entries[ANIMALS].replace(b'"cow"', b'"bul"')
    assert changed != entries[ANIMALS]
    assert refused(zip_of(entries | {ANIMALS: changed})).startswith(f"{ANIMALS} is not as it was written")


def test_a_file_that_is_missing_or_that_nobody_listed_is_named(whole: bytes) -> None:
    entries = entries_of(whole)
    without = {name: content for name, content in entries.items() if name != ANIMALS}
    assert refused(zip_of(without)) == f"{ANIMALS} is missing from the archive."
    assert "stray.txt lies in the archive" in refused(zip_of(entries | {"stray.txt": b""}))
    file = next(name for name in entries if name.startswith("files/"))
    assert file in refused(zip_of({name: content for name, content in entries.items() if name != file}))


@pytest.mark.parametrize("name", ["../../etc/passwd", "/etc/passwd", "files/../x", "tables/a.b.ndjson/..", "C:\\x"])
def test_a_name_that_leads_elsewhere_is_refused(whole: bytes, name: str) -> None:
    entries = entries_of(whole)
    assert "lies in the archive, but not" in refused(zip_of(entries | {name: b"x"}))
    manifest = json.loads(entries["manifest.json"])
    manifest["files"].append({"name": name, "bytes": 1, "sha256": "0", "rows": 0})
    assert "manifest.json can't be read" in refused(
        zip_of(entries | {name: b"x", "manifest.json": json.dumps(manifest).encode()})
    )


def test_a_bomb_is_refused_before_it_is_unpacked(whole: bytes) -> None:
    entries = entries_of(whole)
    name = "tables/registry.breed.ndjson"
    assert f"{name} unpacks to far more" in refused(listed_anew(entries | {name: b"\n" * 40_000_000}))


def test_a_field_file_larger_than_any_is_refused(whole: bytes, settings) -> None:
    settings.FIELD_FILE_MAX_BYTES = 10
    assert "is larger than any field file may be" in refused(whole)


def test_a_line_longer_than_any_row_is_refused(whole: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unpacking, "MOST_LINE", 100_000)
    entries = entries_of(whole)
    name = "tables/registry.breed.ndjson"
    assert f"{name} has a line longer" in refused(listed_anew(entries | {name: b"x" * 3_000_000 + b"\n"}))


def test_a_list_of_contents_without_end_is_refused(whole: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unpacking, "MOST_MANIFEST", 100)
    assert refused(whole) == "manifest.json is larger than any list of contents."


@pytest.mark.parametrize(
    ("manifest", "says"),
    [
        (b"", "manifest.json can't be read"),
        (b"{}", "manifest.json can't be read"),
        (b"[" * 100_000, "manifest.json can't be read"),
        (b'{"format": 2}', "manifest.json says format 2; this program reads format 1"),
    ],
)
def test_a_list_of_contents_that_says_nothing_is_refused(whole: bytes, manifest: bytes, says: str) -> None:
    assert says in refused(zip_of(entries_of(whole) | {"manifest.json": manifest}))


@pytest.mark.parametrize("field", ["kind", "made_at", "schema", "has_passwords", "outfits"])
@pytest.mark.parametrize("value", [None, 3, [1], {"a": 1}])
def test_a_list_of_contents_with_a_wrong_word_is_refused(whole: bytes, field: str, value: object) -> None:
    assert "manifest.json" in refused(listed_anew(entries_of(whole), **{field: value}))


def test_what_is_no_archive_is_told_so(db: None, tmp_path: Path) -> None:
    assert "is no archive" in refused(b"EID,Weight\n")
    assert "no manifest.json" in refused(zip_of({"letter.txt": b"x"}))
    for path in (tmp_path / "gone.zip", tmp_path):
        with pytest.raises(ArchiveRefused, match="can't be opened"), open_archive(path):
            pass


def test_two_files_of_one_name_and_other_ways_to_pack_are_refused(whole: bytes) -> None:
    twice = io.BytesIO(whole)
    with pytest.warns(UserWarning, match="Duplicate name"), ZipFile(twice, "a", ZIP_DEFLATED) as zipped:
        zipped.writestr(ANIMALS, b"")
    assert f"two files called {ANIMALS}" in refused(twice.getvalue())
    otherwise = io.BytesIO()
    with ZipFile(otherwise, "w", ZIP_BZIP2) as zipped:
        for name, content in entries_of(whole).items():
            zipped.writestr(name, content)
    assert "packed in a way" in refused(otherwise.getvalue())
