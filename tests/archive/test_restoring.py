"""The way back: the same to the last byte, all or nothing, and never over what is there."""

import io
import json
from collections.abc import Callable
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from django.core.management import call_command
from django.db import transaction

from herd.accounts.models import Outfit, Person, Role
from herd.archive.refused import ArchiveRefused
from herd.intake.models import FieldFile, Finding, ProcessingDay, Ruling
from herd.ledger.models import Change, FeedCounter
from herd.registry.models import Animal, Breed
from tests.archive.conftest import load, pack_bytes
from tests.archive.forging import forge
from tests.cast import PASSWORD, join_outfit, register, vid_tag
from tests.intake.field import apply, record


def hashes(contents: Any) -> dict[str, str]:
    """Of every file but the feed counter's, whose epoch is new, and the people's."""
    passed_over = {"tables/ledger.feedcounter.ndjson"}
    return {part.name: part.sha256 for part in contents.parts if part.name not in passed_over}


def test_an_outfit_comes_back_the_same_to_the_last_byte(packed) -> None:
    before = packed()
    load(before.bytes)
    outfit = Outfit.objects.get()
    assert record(outfit) == before.record
    _, after = pack_bytes(outfit)
    assert hashes(after) == hashes(before.contents)
    assert len(hashes(after)) > 25


def test_days_findings_rulings_and_files_come_back_and_work_goes_on(packed) -> None:
    load(packed().bytes)
    assert (Ruling.objects.count(), Finding.objects.filter(is_open=True).count()) == (1, 1)
    waiting = ProcessingDay.objects.get(name="Waits")
    assert bytes(FieldFile.objects.get(day=waiting).content).startswith(b"EID,Weight (lb)\n")
    counter = FeedCounter.objects.get()
    head = Animal.objects.count()
    apply(waiting)
    assert Animal.objects.count() == head + 1
    assert FeedCounter.objects.get().position > counter.position
    call_command("check_record")


def test_the_feed_goes_on_at_its_position_in_a_new_epoch(packed) -> None:
    before = packed()
    row = json.loads(ZipFile(io.BytesIO(before.bytes)).read("tables/ledger.feedcounter.ndjson"))
    load(before.bytes)
    counter = FeedCounter.objects.get()
    assert counter.position == row["position"] == before.contents.outfits[0].feed_position
    assert counter.position == Change.objects.count()
    assert str(counter.epoch) != row["epoch"]


def test_an_outfit_comes_in_beside_others_and_leaves_them_alone(packed, far_rim: Outfit) -> None:
    register(far_rim, vid_tag("999"))
    theirs = record(far_rim)
    before = packed()
    load(before.bytes)
    assert record(Outfit.objects.get(code="kettle-bench")) == before.record
    assert record(far_rim) == theirs


def test_an_outfit_that_is_there_already_is_left_as_it_is(packed) -> None:
    before = packed()
    load(before.bytes)
    with pytest.raises(ArchiveRefused, match="Kettle Bench \\(kettle-bench\\) is here already"):
        load(before.bytes)
    assert record(Outfit.objects.get()) == before.record


def test_a_code_that_another_outfit_has_is_refused_in_any_case_of_letters(packed) -> None:
    before = packed()
    Outfit.objects.create(code="Kettle-Bench", name="Other")
    with pytest.raises(ArchiveRefused, match="is here already"):
        load(before.bytes)
    assert Outfit.objects.count() == 1


def test_a_whole_installation_comes_back_only_into_an_empty_one(packed, far_rim: Outfit) -> None:
    before = packed(whole=True)
    with pytest.raises(ArchiveRefused, match="there are outfits here \\(Far Rim\\)"):
        load(before.bytes)
    assert list(Outfit.objects.all()) == [far_rim]


def test_an_archive_without_passwords_says_who_needs_one(packed) -> None:
    restored = load(packed(with_passwords=False).bytes)
    assert restored.without_password == ("ada of kettle-bench",)
    assert not Person.objects.get().has_usable_password()


def test_a_user_name_that_is_another_persons_is_refused_or_changed(packed, far_rim: Outfit) -> None:
    before = packed()
    other = join_outfit(far_rim, "ada of kettle-bench", Role.OWNER)
    with pytest.raises(ArchiveRefused, match="Someone else signs in here as ada of kettle-bench"):
        load(before.bytes)
    assert not Animal.objects.exists()
    load(before.bytes, rename_people=True)
    names = set(Person.objects.values_list("username", flat=True))
    assert names == {"ada of kettle-bench", "ada of kettle-bench.kettle-bench"}
    assert not other.outfits.filter(outfit__code="kettle-bench").exists()


def test_someone_who_works_here_already_keeps_their_password(packed) -> None:
    before = packed()
    with transaction.atomic():
        load(before.bytes)
        ada = Person.objects.get()
        transaction.set_rollback(True)
    ada.set_password("another long saddle")
    ada.save(force_insert=True)
    assert load(before.bytes).people_known == 1
    assert not Person.objects.get().check_password(PASSWORD)
    assert Person.objects.get().outfits.get().outfit.code == "kettle-bench"


def test_an_archive_gives_nobody_a_say_over_outfits_that_were_there_before(packed, far_rim: Outfit) -> None:
    def promote(row: dict[str, Any]) -> dict[str, Any]:
        return row | {"is_superuser": True, "is_staff": True}

    load(forge(packed().bytes, "accounts.person", promote))
    ada = Person.objects.get()
    assert (ada.is_superuser, ada.is_staff) == (False, False)


# Whoever can change a row can write its hash as well; so what the rows say is not trusted either.
def test_rows_of_another_outfit_that_is_here_are_refused(packed, far_rim: Outfit) -> None:
    def move(row: dict[str, Any]) -> dict[str, Any]:
        return row | {"outfit_id": str(far_rim.pk)}

    with pytest.raises(ArchiveRefused, match="registry.breed.ndjson has 1 rows that belong to no outfit"):
        load(forge(packed().bytes, "registry.breed", move))
    assert not Breed.objects.exists()


def test_rows_that_name_another_outfits_rows_are_refused(packed, far_rim: Outfit) -> None:
    foreign = register(far_rim, vid_tag("999"))

    def point(row: dict[str, Any]) -> dict[str, Any]:
        return row | {"dam_id": str(foreign)}

    with pytest.raises(ArchiveRefused, match="registry.animal.ndjson has a row whose dam is another outfit's"):
        load(forge(packed().bytes, "registry.animal", point))
    assert Animal.objects.count() == 1


def keyed(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"surprise": 1}


def without_coat(row: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name != "coat"}


def number_as_text(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"revision": "one"}


def day_of_no_month(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"born_on": "2020-13-01"}


def same_id(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"id": "01890000-0000-7000-8000-000000000000"}


def nobodys_group(row: dict[str, Any]) -> dict[str, Any]:
    return row | {"group_id": "01890000-0000-7000-8000-000000000000"}


@pytest.mark.parametrize("change", [keyed, without_coat, number_as_text, day_of_no_month, same_id, nobodys_group])
def test_rows_that_no_program_of_ours_wrote_are_refused_and_nothing_stays(
    packed, change: Callable[[dict[str, Any]], dict[str, Any]]
) -> None:
    with pytest.raises(ArchiveRefused, match="registry.animal|not whole"):
        load(forge(packed().bytes, "registry.animal", change))
    assert not Outfit.objects.exists()
    assert not Person.objects.exists()


def test_a_line_of_brackets_without_end_is_refused(packed) -> None:
    with pytest.raises(ArchiveRefused, match=r"registry\.breed\.ndjson has a line that can't be read"):
        load(forge(packed().bytes, "registry.breed", lambda row: None, text=b"[" * 200_000 + b"\n"))


def test_a_packed_archive_can_be_packed_anew_by_any_tool(packed) -> None:
    before = packed()
    again = io.BytesIO()
    with ZipFile(io.BytesIO(before.bytes)) as old, ZipFile(again, "w", ZIP_DEFLATED) as new:
        for name in sorted(old.namelist()):
            new.writestr(name, old.read(name))
    load(again.getvalue())
    assert record(Outfit.objects.get()) == before.record
