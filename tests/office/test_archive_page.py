"""The archive page: the owner takes the outfit along, nobody else does, and the last backup is told."""

import io
from datetime import UTC, timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from herd.archive import backups
from herd.archive.refused import ArchiveRefused
from herd.archive.unpacking import open_archive
from herd.office.views import archive as view
from tests.cast import Cast

PAGE, FILE = reverse("office:archive"), reverse("office:archive-file")


@pytest.fixture(autouse=True)
def folder(settings, tmp_path: Path) -> Path:
    settings.BACKUP_DIR = settings.VAR_DIR = tmp_path
    return tmp_path


def test_the_owner_downloads_an_archive_that_can_be_restored(ada_in, herd, folder: Path) -> None:
    answer = ada_in.post(FILE)
    assert answer["Content-Type"] == "application/zip"
    assert answer["Content-Disposition"].startswith('attachment; filename="kettle-bench-20')
    assert answer["Cache-Control"] == "no-store"
    content = b"".join(answer.streaming_content)
    assert int(answer["Content-Length"]) == len(content)
    with open_archive(io.BytesIO(content)) as archive:
        archive.verify()
        assert [one.code for one in archive.contents.outfits] == ["kettle-bench"]
        assert not archive.contents.has_passwords
        assert next(part.rows for part in archive.contents.tables if "registry.animal." in part.name) == 4
    answer.close()
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("who", ["ben", "cal", "dot"])
def test_it_is_the_owners_alone(cast: Cast, as_person, who: str) -> None:
    client = as_person(getattr(cast, who))
    assert client.get(PAGE).status_code == 403
    assert client.post(FILE).status_code == 403


def test_it_is_sent_only_from_our_own_form(cast: Cast, ada_in) -> None:
    assert ada_in.get(FILE).status_code == 405
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(cast.ada)
    assert strict.post(FILE).status_code == 403
    assert Client().post(FILE).status_code == 302


def test_each_owner_gets_the_own_outfit(cast: Cast, as_person) -> None:
    content = b"".join(as_person(cast.eve).post(FILE).streaming_content)
    with open_archive(io.BytesIO(content)) as archive:
        assert [one.code for one in archive.contents.outfits] == ["far-rim"]


def test_the_page_says_how_much_it_holds_and_how_it_comes_back(ada_in, herd) -> None:
    page = ada_in.get(PAGE).content.decode()
    assert "4, on hand or gone" in page
    assert "python3 manage.py restore FILE" in page
    assert "No backup was found on this machine yet" in page


@pytest.mark.parametrize(("kept", "is_said"), [(7, True), (0, False)])
def test_whether_one_is_made_by_itself_is_said(ada_in, settings, kept: int, is_said: bool) -> None:
    settings.BACKUPS_KEPT = kept
    said = "made by itself each day that Notchbook runs here, and the newest 7 are kept"
    assert (said in ada_in.get(PAGE).content.decode()) is is_said


def test_the_last_backup_is_told_in_the_outfits_time(ada_in, folder: Path) -> None:
    for name in ("notchbook-2026-01-02T083000Z.zip", "notchbook-2026-01-01T083000Z.zip"):
        (folder / name).write_bytes(b"x" * 2048)
    page = ada_in.get(PAGE).content.decode()
    # Denver is seven hours behind UTC in winter (IANA time zone database).
    assert "Jan 2, 2026, 01:30" in page
    assert "more than a week ago" in page
    stamp = (timezone.now() - timedelta(days=6)).astimezone(UTC).strftime(backups.STAMP)
    (folder / f"notchbook-{stamp}.zip").write_bytes(b"x")
    assert "more than a week ago" not in ada_in.get(PAGE).content.decode()


def test_a_full_disk_is_a_sentence_on_the_page(ada_in, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*args: object) -> None:
        raise ArchiveRefused("There is no room left in here.")

    monkeypatch.setattr(view, "lend_archive", fail)
    answer = ada_in.post(FILE)
    assert answer.status_code == 507
    assert "There is no room left in here." in answer.content.decode()


def test_the_page_asks_the_database_little(ada_in, herd, django_assert_max_num_queries) -> None:
    with django_assert_max_num_queries(9):
        ada_in.get(PAGE)
