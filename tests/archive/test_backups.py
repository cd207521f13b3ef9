"""The folder of backups: a new one stands whole or not at all, and old ones go only then."""

import errno
import os
import stat
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from herd.accounts.models import Outfit
from herd.archive import backups
from herd.archive.backups import back_up, backups_in, lend_archive, write_archive
from herd.archive.refused import ArchiveRefused
from herd.archive.tasks import back_up_daily
from tests.cast import register, vid_tag

pytestmark = pytest.mark.django_db


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def at(moment: datetime) -> Callable[[], datetime]:
    return lambda: moment


def test_a_backup_is_named_by_its_moment_and_only_its_owner_may_read_it(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr(backups.timezone, "now", at(datetime(2026, 3, 14, 2, 30, 5, tzinfo=UTC)))
    path, contents = back_up(tmp_path / "kept", keep=None)
    assert names(tmp_path / "kept") == [path.name] == ["notchbook-2026-03-14T023005Z.zip"]
    assert contents.kind == "installation"
    assert [(one.path, one.made_at.hour) for one in backups_in(tmp_path / "kept")] == [(path, 2)]
    if sys.platform != "win32":
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    second, _ = back_up(tmp_path / "kept", keep=None)
    assert second.name == "notchbook-2026-03-14T023005Z-2.zip"


def test_the_newest_stay_and_nothing_else_in_the_folder_is_touched(tmp_path: Path) -> None:
    others = ["letter.zip", "notchbook-old.zip", "notchbook-2026-03-01T000000Z.txt", "kettle-bench.zip"]
    for name in [*others, *(f"notchbook-2026-03-{day:02d}T000000Z.zip" for day in range(1, 6))]:
        (tmp_path / name).write_bytes(b"x")
    path, _ = back_up(tmp_path, keep=3)
    assert names(tmp_path) == sorted(
        [*others, "notchbook-2026-03-04T000000Z.zip", "notchbook-2026-03-05T000000Z.zip", path.name]
    )


def test_a_new_backup_stays_even_where_the_clock_was_set_back(tmp_path: Path) -> None:
    (tmp_path / "notchbook-2999-01-01T000000Z.zip").write_bytes(b"x")
    path, _ = back_up(tmp_path, keep=1)
    assert names(tmp_path) == [path.name]


def failing(problem: Exception) -> Callable[..., Any]:
    def fail(*args: Any, **kwargs: Any) -> Any:
        raise problem

    return fail


@pytest.mark.parametrize("place", ["pack", "open_archive"])
def test_old_ones_stay_where_the_new_one_fails(tmp_path: Path, monkeypatch: Any, place: str) -> None:
    old = tmp_path / "notchbook-2026-03-01T000000Z.zip"
    old.write_bytes(b"x")
    monkeypatch.setattr(backups, place, failing(ArchiveRefused("not as it was written")))
    with pytest.raises(ArchiveRefused):
        back_up(tmp_path, keep=1)
    assert names(tmp_path) == [old.name]


def test_a_full_disk_is_told_and_what_was_begun_is_removed(tmp_path: Path, monkeypatch: Any) -> None:
    monkeypatch.setattr(backups, "pack", failing(OSError(errno.ENOSPC, "No space left on device")))
    with pytest.raises(CommandError, match="no room left in .*: the file was given up and removed"):
        call_command("backup", to=tmp_path)
    assert names(tmp_path) == []


def test_what_a_killed_backup_left_goes_once_it_has_lain_still(tmp_path: Path) -> None:
    dead = tmp_path / ".notchbook-2026-03-01T000000Z.zip.0badcafe.partial"
    under_way = tmp_path / ".notchbook-2026-03-02T000000Z.zip.00c0ffee.partial"
    for path in (dead, under_way):
        path.write_bytes(b"half")
    os.utime(dead, (1, 1))
    path, _ = back_up(tmp_path, keep=None)
    assert names(tmp_path) == [under_way.name, path.name]
    assert [one.path for one in backups_in(tmp_path)] == [path]


def test_an_archive_is_never_written_over_another_file(tmp_path: Path, kettle_bench: Outfit) -> None:
    path = tmp_path / "letter.zip"
    path.write_bytes(b"dear")
    with pytest.raises(ArchiveRefused, match="is there already and was left as it is"):
        write_archive(path, kettle_bench, with_passwords=False)
    assert path.read_bytes() == b"dear"


def test_a_folder_that_is_not_there_is_told(tmp_path: Path, kettle_bench: Outfit) -> None:
    with pytest.raises(CommandError, match="gone can't be written to: No such file or directory"):
        call_command("archive", outfit="kettle-bench", to=tmp_path / "gone" / "a.zip")
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(CommandError, match="can't be written to"):
        call_command("backup", to=tmp_path / "file" / "below")


def test_an_archive_that_is_lent_leaves_nothing_behind(tmp_path: Path, kettle_bench: Outfit) -> None:
    lent = lend_archive(kettle_bench, tmp_path)
    assert lent.read(2) == b"PK"
    lent.close()
    assert names(tmp_path) == []


def test_the_commands_say_what_the_file_holds(tmp_path: Path, kettle_bench: Outfit, capsys: Any) -> None:
    register(kettle_bench, vid_tag("417"))
    call_command("archive", outfit="kettle-bench", to=tmp_path / "a.zip")
    assert "Kettle Bench is in" in capsys.readouterr().out
    call_command("backup", verify=tmp_path / "a.zip")
    said = capsys.readouterr().out
    assert "Kettle Bench (kettle-bench, change 3)" in said
    assert "1 animals, 0 events, 3 changes" in said
    assert "Verified: " in said
    with pytest.raises(CommandError, match="no outfit with the code 'nobody'"):
        call_command("archive", outfit="nobody", to=tmp_path / "b.zip")
    with pytest.raises(CommandError, match="is here already and was left as it is.* Nothing was changed"):
        call_command("restore", tmp_path / "a.zip")


@pytest.mark.parametrize("keep", ["0", "-1", "many"])
def test_to_keep_none_is_refused(tmp_path: Path, keep: str) -> None:
    with pytest.raises(CommandError, match="is not a number of backups; write 1 or more"):
        call_command("backup", f"--to={tmp_path}", f"--keep={keep}")
    assert names(tmp_path) == []


def test_the_worker_makes_one_a_day_and_keeps_as_many_as_the_settings_say(
    tmp_path: Path, settings: Any, monkeypatch: Any, kettle_bench: Outfit
) -> None:
    settings.BACKUP_DIR, settings.BACKUPS_KEPT = tmp_path, 2
    for day in (1, 2, 3):
        for hour in (2, 3, 14):
            monkeypatch.setattr(backups.timezone, "now", at(datetime(2026, 3, day, hour, 30, tzinfo=UTC)))
            back_up_daily()
    assert names(tmp_path) == ["notchbook-2026-03-02T023000Z.zip", "notchbook-2026-03-03T023000Z.zip"]


def test_the_worker_makes_none_where_none_are_kept(tmp_path: Path, settings: Any, kettle_bench: Outfit) -> None:
    settings.BACKUP_DIR, settings.BACKUPS_KEPT = tmp_path, 0
    back_up_daily()
    assert names(tmp_path) == []


def test_the_worker_makes_none_before_there_is_an_outfit(tmp_path: Path, settings: Any) -> None:
    settings.BACKUP_DIR, settings.BACKUPS_KEPT = tmp_path, 7
    back_up_daily()
    assert names(tmp_path) == []


def test_a_backup_from_a_clock_that_ran_ahead_does_not_stop_the_next(
    tmp_path: Path, settings: Any, kettle_bench: Outfit
) -> None:
    settings.BACKUP_DIR, settings.BACKUPS_KEPT = tmp_path, 7
    (tmp_path / "notchbook-2999-01-01T000000Z.zip").write_bytes(b"x")
    for _ in range(2):
        back_up_daily()
    assert len(names(tmp_path)) == 2


def test_a_daily_backup_that_fails_is_logged_and_ends_nothing(
    tmp_path: Path, settings: Any, monkeypatch: Any, kettle_bench: Outfit, caplog: Any
) -> None:
    settings.BACKUP_DIR, settings.BACKUPS_KEPT = tmp_path, 7
    monkeypatch.setattr(backups, "pack", failing(OSError(errno.ENOSPC, "No space left on device")))
    back_up_daily()
    assert "The daily backup was not made. There is no room left in" in caplog.text
