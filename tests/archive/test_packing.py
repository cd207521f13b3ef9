"""What an archive holds: one outfit and nothing of another, readable with plain tools."""

import hashlib
import io
import json
import tracemalloc
from zipfile import ZipFile

import pytest
from django.db import connection

from herd.accounts.models import Outfit, OutfitPerson, Person
from herd.archive.packing import PIECE, pack
from herd.archive.snapshot import one_moment
from herd.intake.models import FieldFile, ProcessingDay
from herd.registry.models import Breed
from herd.sync.models import Device
from tests.archive.conftest import load, pack_bytes, work_a_while
from tests.cast import PASSWORD, Cast, register, vid_tag
from tests.intake.field import WORKED_ON


def table(archive: bytes, name: str) -> list[dict]:
    """The rows of a table, read as anyone would."""
    with ZipFile(io.BytesIO(archive)) as zipped:
        return [json.loads(line) for line in zipped.read(f"tables/{name}.ndjson").splitlines()]


def test_an_archive_is_a_plain_zip_with_its_contents_counted_and_hashed(kettle_bench: Outfit) -> None:
    work_a_while(kettle_bench)
    archive, contents = pack_bytes(kettle_bench)
    with ZipFile(io.BytesIO(archive)) as zipped:
        said = json.loads(zipped.read("manifest.json"))
        assert (said["format"], said["kind"], said["outfits"][0]["code"]) == (1, "outfit", "kettle-bench")
        for part in said["tables"] + said["files"]:
            content = zipped.read(part["name"])
            assert (len(content), hashlib.sha256(content).hexdigest()) == (part["bytes"], part["sha256"])
        for part in said["tables"]:
            assert zipped.read(part["name"]).count(b"\n") == part["rows"]
        assert set(zipped.namelist()) == {"README.txt", "manifest.json", *(part.name for part in contents.parts)}
        assert b"restore" in zipped.read("README.txt")


def test_a_field_file_lies_there_byte_for_byte_under_its_day(kettle_bench: Outfit) -> None:
    work_a_while(kettle_bench)
    archive, _ = pack_bytes(kettle_bench)
    rows = table(archive, "intake.fieldfile")
    assert {row["name"] for row in rows} == {"scale.csv", "reader.csv"}
    with ZipFile(io.BytesIO(archive)) as zipped:
        for row in rows:
            kept = bytes(FieldFile.objects.get(pk=row["id"]).content)
            assert zipped.read(f"files/{row['day_id']}/{row['id']}") == kept
            assert "content" not in row


@pytest.mark.parametrize("size", [0, 1, PIECE - 1, PIECE, PIECE + 1, 2 * PIECE])
def test_a_file_of_any_size_is_whole(kettle_bench: Outfit, size: int) -> None:
    content = bytes(place % 251 for place in range(1000)) * (size // 1000 + 1)
    day = ProcessingDay.objects.create(outfit=kettle_bench, name="Day", worked_on=WORKED_ON)
    FieldFile.objects.create(day=day, name="a", sha256="-", size=size, content=content[:size])
    archive, contents = pack_bytes(kettle_bench)
    with ZipFile(io.BytesIO(archive)) as zipped:
        assert zipped.read(contents.files[0].name) == content[:size]


def test_nothing_of_another_outfit_leaves_with_it(cast: Cast) -> None:
    register(cast.kettle_bench, vid_tag("417"))
    register(cast.far_rim, vid_tag("999"))
    archive, _ = pack_bytes(cast.kettle_bench)
    with ZipFile(io.BytesIO(archive)) as zipped:
        text = b"".join(zipped.read(name) for name in zipped.namelist())
    assert str(cast.far_rim.pk).encode() not in text
    assert b"far-rim" not in text
    assert b'"999"' not in text
    assert {row["username"] for row in table(archive, "accounts.person")} == {"ada", "ben", "cal", "dot"}


def test_a_devices_token_stays_where_it_opens_something(kettle_bench: Outfit) -> None:
    Device.objects.create(outfit=kettle_bench, name="Phone", state="active", token_hash="ab" * 32)
    without, _ = pack_bytes(kettle_bench, with_passwords=False)
    assert [row["token_hash"] for row in table(without, "sync.device")] == [""]
    backup, _ = pack_bytes(None)
    assert [row["token_hash"] for row in table(backup, "sync.device")] == ["ab" * 32]


def test_someone_who_left_the_outfit_leaves_with_what_they_did(kettle_bench: Outfit) -> None:
    work_a_while(kettle_bench)
    OutfitPerson.objects.filter(outfit=kettle_bench).delete()
    archive, _ = pack_bytes(kettle_bench)
    assert [row["username"] for row in table(archive, "accounts.person")] == ["ada of kettle-bench"]


def test_an_outfits_archive_has_neither_passwords_nor_rights_over_the_installation(cast: Cast) -> None:
    Person.objects.filter(pk=cast.ada.pk).update(is_superuser=True, is_staff=True)
    without, said = pack_bytes(cast.kettle_bench, with_passwords=False)
    ada = next(row for row in table(without, "accounts.person") if row["username"] == "ada")
    assert (ada["password"], ada["is_superuser"], ada["is_staff"], ada["last_login"]) == ("!", False, False, None)
    assert not said.has_passwords
    kept, _ = pack_bytes(cast.kettle_bench)
    assert next(row for row in table(kept, "accounts.person") if row["username"] == "ada")["is_superuser"]


def test_a_backup_holds_every_outfit_and_lets_people_sign_in(packed) -> None:
    archive = packed(whole=True)
    load(archive.bytes)
    assert Person.objects.get().check_password(PASSWORD)


def test_memory_stays_flat_however_many_rows_there_are(kettle_bench: Outfit) -> None:
    def most(rows: int) -> int:
        Breed.objects.bulk_create(
            Breed(outfit=kettle_bench, code=f"{rows // 1000}-{one}", name="x" * 60) for one in range(rows)
        )
        with open("/dev/null", "wb") as nowhere:
            tracemalloc.start()
            pack(nowhere, kettle_bench, with_passwords=True)
            peak = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
        return peak

    few = most(4_000)
    assert most(24_000) < few * 1.5


@pytest.mark.django_db(transaction=True)
def test_the_moment_is_held_without_the_write_lock_and_let_go() -> None:
    with one_moment():
        assert Outfit.objects.count() == 0
        # The same words would fail inside a transaction that Django had begun.
        assert connection.get_autocommit()
    outfit = Outfit.objects.create(code="kettle-bench", name="Kettle Bench")
    assert Outfit.objects.filter(pk=outfit.pk).exists()
