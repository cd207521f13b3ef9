"""What is captured is stored before the call returns, checked where a person still stands at the chute."""

import stat
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from herd.client import Client, NotHere, NotStored, Unfit
from herd.client.clocks import Clocks
from herd.client.store import Store
from herd.registry.models import Event
from herd.sync.models import Operation
from tests.architecture.sources import ROOT
from tests.client.conftest import EID
from tests.client.linking import around, disk_full


def chute(path, count, *more):
    """Start the program of the scale PC on a file."""
    command = [sys.executable, "-m", "tests.client.chute", str(path), EID, str(count), *more]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def unsent_ids(client):
    return [one["op_id"] for one in client.unsent()]


def notes(client, count, kept=None):
    """Capture notes one by one, and keep the ids of those that were stored."""
    for number in range(count):
        op_id = client.record("note", EID, {"note": f"{number} {'x' * 400}"})
        if kept is not None:
            kept.append(str(op_id))


def note_and_weigh(client, weight):
    client.record("note", EID, {"note": "first"})
    client.weigh(EID, weight, "lb")


def test_the_file_is_for_its_owner_only(scale, tmp_path):
    scale.weigh(EID, "1180", "lb")
    modes = {one.name: stat.S_IMODE(one.stat().st_mode) for one in tmp_path.iterdir() if one.is_file()}
    assert {"scale.db", "scale.db-wal"} <= set(modes)
    assert set(modes.values()) == {0o600}


def test_a_commit_waits_for_the_disk(scale):
    assert scale._store.run("PRAGMA journal_mode").fetchone() == ("wal",)
    assert scale._store.run("PRAGMA synchronous").fetchone() == (2,)


def test_what_is_captured_is_there_for_who_opens_the_file_next(scale, tmp_path, link):
    ids = [str(scale.weigh(EID, "1180", "lb")), str(scale.weigh(EID, "1185.5", "lb"))]
    assert unsent_ids(Client.open(tmp_path / "scale.db", around(link))) == ids


def test_operations_are_numbered_without_gaps_and_their_ids_rise(scale):
    ids = [scale.record("note", EID, {"note": str(number)}) for number in range(5)]
    assert [one["dseq"] for one in scale.unsent()] == [1, 2, 3, 4, 5]
    assert ids == sorted(ids)
    assert {one.version for one in ids} == {7}


@pytest.mark.parametrize(
    ("weight", "unit"), [("1180", "stone"), ("heavy", "lb"), ("", "lb"), ("-4", "kg"), ("1180", "")]
)
def test_a_weight_that_can_t_be_is_refused_at_the_scale(scale, weight, unit):
    with pytest.raises(Unfit):
        scale.weigh(EID, weight, unit)
    assert scale.unsent() == []


def test_a_weight_without_unit_is_in_the_outfits_once_that_is_known(scale, kettle_bench, cow):
    scale.pull()
    scale.weigh(EID, "1180")
    assert scale.unsent()[0]["data"]["data"]["unit"] == kettle_bench.weight_unit


@pytest.mark.parametrize("subject", ["", "84027000000012", {}, {"animal": "cow"}, {"eid": "112"}, {"colour": "red"}])
def test_a_subject_that_names_nobody_is_refused(scale, subject):
    with pytest.raises(Unfit):
        scale.record("note", subject, {"note": "lame"})


@pytest.mark.parametrize("note", ["a\0b", "\ud800", "x" * 300_000])
def test_text_that_no_server_could_keep_is_refused(scale, note):
    with pytest.raises(Unfit):
        scale.record("note", EID, {"note": note})
    assert scale.unsent() == []


def test_an_unknown_kind_or_field_is_refused(scale):
    with pytest.raises(Unfit):
        scale.record("dance", EID, {})
    with pytest.raises(Unfit):
        scale.record("weaning", EID, {"mood": "good"})
    with pytest.raises(Unfit):
        scale.register([], colour="red")


def test_a_moment_of_the_past_needs_its_time_zone_and_has_no_steady_clock(scale):
    with pytest.raises(Unfit):
        scale.weigh(EID, "1180", "lb", at=datetime(2026, 3, 14, 8, 0))  # noqa: DTZ001
    scale.weigh(EID, "1180", "lb", at=datetime(2026, 3, 14, 8, 0, tzinfo=UTC))
    assert "mono_ms" not in scale.unsent()[0]


def test_an_edit_needs_a_card_and_a_name_needs_one_animal(scale):
    with pytest.raises(NotHere):
        scale.edit(UUID(int=7), breed="HE")
    with pytest.raises(NotHere):
        scale.put_on("112", "eid", EID)
    with pytest.raises(NotHere):
        scale.move(EID, "Upper Bench")


def test_a_group_is_stored_whole_or_not_at_all(scale):
    with pytest.raises(Unfit), scale.grouped():
        note_and_weigh(scale, "no weight")
    assert scale.unsent() == []
    with scale.grouped():
        calf = scale.register([{"kind": "eid", "number": "840270000000777"}], entry_class="heifer")
        scale.record("calving", EID, {"calf": str(calf)})
        assert scale.unsent() == []
    assert len({one["group"] for one in scale.unsent()}) == 1
    assert [one["kind"] for one in scale.unsent()] == ["animal.register", "event"]


def test_a_group_larger_than_a_push_may_be_is_refused(scale):
    with pytest.raises(Unfit), scale.grouped():
        notes(scale, 101)
    assert scale.unsent() == []


def test_a_full_disk_is_told_and_what_was_stored_stays(scale, cow, tmp_path, link):
    kept = [str(scale.record("note", EID, {"note": str(number)})) for number in range(3)]
    with disk_full(scale._store), pytest.raises(NotStored, match="full"):
        notes(scale, 2_000, kept)
    assert unsent_ids(Client.open(tmp_path / "scale.db", around(link))) == kept
    scale.record("note", EID, {"note": "room again"})
    assert [one["dseq"] for one in scale.unsent()] == list(range(1, len(kept) + 2))
    scale.sync()
    assert Event.objects.filter(kind="note").count() == len(kept) + 1


def test_a_disk_that_fills_up_before_the_answer_is_kept_loses_and_doubles_nothing(scale, cow):
    ids = {str(scale.record("note", EID, {"note": f"{number} {'x' * 400}"})) for number in range(50)}
    with disk_full(scale._store), pytest.raises(NotStored):
        scale.push()
    assert len(scale.unsent()) == 50
    scale.sync()
    assert {str(one) for one in Event.objects.values_list("pk", flat=True)} == ids


def test_a_process_killed_between_storing_and_sending_has_lost_nothing(scale, cow, tmp_path):
    scale.close()
    killed = chute(tmp_path / "scale.db", 20, "dies")
    said, _ = killed.communicate(timeout=60)
    assert killed.returncode == -9
    client = Client.open(tmp_path / "scale.db", scale._around)
    assert unsent_ids(client) == said.split()
    assert client.sync() == 20
    assert {str(one) for one in Event.objects.values_list("pk", flat=True)} == set(said.split())


def test_a_process_killed_while_it_stores_has_lost_nothing_that_it_called_stored(scale, tmp_path):
    killed = chute(tmp_path / "scale.db", 100_000)
    said = [killed.stdout.readline().strip() for _ in range(40)]
    killed.kill()
    said += killed.stdout.read().split("\n")[:-1]
    killed.wait()
    ids = unsent_ids(scale)
    assert ids[: len(said)] == said
    # It may have been stored and not said; no more than one was under way.
    assert len(ids) - len(said) in {0, 1}


def test_two_processes_on_one_file_share_one_row_of_numbers(scale, cow, tmp_path):
    both = [chute(tmp_path / "scale.db", 60) for _ in range(2)]
    said = [one for process in both for one in process.communicate(timeout=60)[0].split()]
    assert len(said) == 120
    assert [one["dseq"] for one in scale.unsent()] == list(range(1, 121))
    assert scale.sync() == 120
    assert Event.objects.count() == 120


def test_a_file_that_is_none_of_ours_is_told_in_a_sentence(tmp_path):
    (tmp_path / "notes.txt").write_text("twelve cows\n" * 100)
    with pytest.raises(NotStored, match=r"notes\.txt"):
        Store.make(tmp_path / "notes.txt")
    with pytest.raises(NotHere, match="enrol"):
        Client.open(tmp_path / "none.db")


def test_a_file_of_a_newer_version_is_left_alone(scale, tmp_path):
    scale._store.run("PRAGMA user_version=99")
    with pytest.raises(NotStored, match="newer"):
        Client.open(tmp_path / "scale.db")


@pytest.mark.parametrize("off", [timedelta(days=1), timedelta(days=-1), timedelta(days=-9000)])
@pytest.mark.parametrize("then_boot", ["same", "another"])
def test_a_clock_that_is_wrong_dates_nothing_wrong(scale, cow, link, tmp_path, off, then_boot):
    real = scale._around.clocks

    def booted(boot):
        wrong = Clocks(lambda: real.now() + off, real.steady_ms, boot)
        return Client.open(tmp_path / "scale.db", around(link, clocks=wrong))

    booted("same").weigh(EID, "1180", "lb")
    assert booted(then_boot).sync() == 1
    found = Event.objects.get()
    assert abs(found.happened_at - datetime.now(UTC)) < timedelta(minutes=1)
    assert "clock" in Operation.objects.get().clock_note


def test_a_clock_set_right_between_capture_and_sync_dates_nothing_wrong(scale, cow, link, tmp_path):
    real = scale._around.clocks
    wrong = Clocks(lambda: real.now() - timedelta(days=400), real.steady_ms, real.boot)
    Client.open(tmp_path / "scale.db", around(link, clocks=wrong)).weigh(EID, "1180", "lb")
    scale.sync()
    assert abs(Event.objects.get().happened_at - datetime.now(UTC)) < timedelta(minutes=1)
