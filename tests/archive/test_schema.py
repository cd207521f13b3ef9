"""Archives of earlier programs come in where defaults do; of later ones, never."""

import json

import pytest
from django.db import migrations

from herd.archive import schema
from herd.archive.refused import ArchiveRefused
from herd.archive.schema import is_behind, is_fresh, is_older, schema_here
from herd.registry.models import Breed, HeadCheck
from tests.archive.conftest import load
from tests.archive.forging import entries_of, listed_anew


def test_the_state_of_this_database_is_named_by_its_migrations(db) -> None:
    assert schema_here()["accounts"][0] == "0001_initial"
    assert (is_fresh(), is_behind()) == (False, False)
    assert not is_older(schema_here())


def test_an_archive_from_before_a_table_and_a_column_comes_in_with_their_defaults(packed) -> None:
    before = packed()
    entries = entries_of(before.bytes)
    earlier = before.contents.schema | {"registry": ["0001_initial"]}
    breeds = "tables/registry.breed.ndjson"
    entries[breeds] = entries[breeds].replace(b',"is_retired":false', b"")
    assert b"is_retired" not in entries[breeds]
    gone = "tables/registry.headcheck.ndjson"
    del entries[gone]
    tables = [part for part in listed(entries) if part["name"] != gone]
    load(listed_anew(entries, schema=earlier, tables=tables))
    assert Breed.objects.get().is_retired is False
    assert not HeadCheck.objects.exists()


def test_without_an_earlier_state_a_missing_table_is_refused(packed) -> None:
    entries = entries_of(packed().bytes)
    gone = "tables/registry.headcheck.ndjson"
    del entries[gone]
    with pytest.raises(ArchiveRefused, match=f"{gone} is missing"):
        load(listed_anew(entries, tables=[part for part in listed(entries) if part["name"] != gone]))


def test_a_later_programs_archive_is_refused_with_what_to_do(packed) -> None:
    before = packed()
    later = before.contents.schema | {"registry": [*before.contents.schema["registry"], "0999_hooves"]}
    with pytest.raises(ArchiveRefused, match="does not know registry 0999_hooves. Bring the program up to date"):
        load(listed_anew(entries_of(before.bytes), schema=later))


def test_an_archive_from_before_a_change_of_meaning_is_refused(db, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(schema, "ADDING", (migrations.CreateModel,))
    with pytest.raises(ArchiveRefused, match=f"before registry {schema_here()['registry'][1]}.*program of its time"):
        is_older(schema_here() | {"registry": ["0001_initial"]})


def listed(entries: dict[str, bytes]) -> list[dict]:
    """The tables as the list of contents has them."""
    return json.loads(entries["manifest.json"])["tables"]
