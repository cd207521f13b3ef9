"""Pairs and field files come to the office once each, over links that fail."""

import os
from datetime import UTC, datetime

import pytest

from herd.bridge import pairs
from herd.bridge.delivering import Delivering, hand_over
from herd.bridge.folder import Watch, uploads
from herd.bridge.keeping import Keeping, PairState, State
from herd.bridge.live import Live
from herd.bridge.reading import Reading, ReadingKind
from herd.bridge.settings import Folder
from herd.client import Client
from herd.client.capture import timed
from herd.client.clocks import clocks_of_machine
from herd.intake.models import FieldFile, ProcessingDay
from herd.intake.tasks import work_on_day
from herd.registry.models import Event
from herd.values.identity import new_id
from tests.bridge.saying import FIRST, SECOND, settings
from tests.cast import eid_tag, register
from tests.client.linking import answer, around, drop_answer, drop_request


@pytest.fixture
def keeping(tmp_path):
    opened = Keeping(tmp_path / "bridge.db")
    yield opened
    opened.close()


@pytest.fixture
def delivering(tmp_path, scale, link):
    """Delivering over the spoilt link, and what it shows; the scale's own client is closed, its file is shared."""
    scale.close()
    live = Live()
    made = Delivering(settings(tmp_path), live, lambda: around(link))
    made.live = live
    return made


def reading(keeping, kind, value, unit="", *flags):
    made = Reading(str(new_id()), kind, value, unit, flags, timed(clocks_of_machine(), None), "port", value)
    keeping.add(made)
    return made.id


def pair(keeping, number, weight, *flags, is_sealed=True):
    keys = reading(keeping, ReadingKind.WEIGHT, weight, "kg", *flags), reading(keeping, ReadingKind.NUMBER, number)
    made = pairs.join(keeping, *keys)
    if is_sealed:
        pairs.seal(keeping, keys[0])
    return made


def in_record():
    return sorted((str(one.pk), one.data["weight"]) for one in Event.objects.filter(kind="weight", is_void=False))


def states(keeping):
    return [one.state for one in pairs.pairs(keeping, tuple(PairState))]


def test_a_pair_comes_to_the_record_under_its_own_id_and_time(delivering, keeping, cow):
    made = pair(keeping, FIRST, "450.5", "tare")
    delivering.deliver(keeping, None)
    event = Event.objects.get(pk=made)
    assert (event.animal_id, event.data["weight"], event.data["unit"]) == (cow, "450.5", "kg")
    assert event.data["note"] == "net weight, a tare was set on the scale"
    assert states(keeping) == [PairState.GIVEN]
    assert "all delivered" in delivering.live.now().delivery


def test_an_open_pair_stays_until_its_turn_is_over(delivering, keeping, cow):
    pair(keeping, FIRST, "450", is_sealed=False)
    delivering.deliver(keeping, None)
    assert in_record() == []
    assert states(keeping) == [PairState.OPEN]


def test_a_pair_whose_hand_over_was_not_noted_is_not_recorded_twice(delivering, keeping, cow, tmp_path, link):
    made = pair(keeping, FIRST, "450")
    for _ in range(2):
        with Client.open(tmp_path / "scale.db", around(link)) as client:
            assert hand_over(keeping, client) == 1
        # As if the program had been killed before it could note that.
        keeping.run("UPDATE pair SET state = 'ready'")
    delivering.deliver(keeping, None)
    delivering.deliver(keeping, None)
    assert in_record() == [(made, "450")]


@pytest.mark.parametrize("fault", [drop_request, drop_answer, answer(503), answer(500)])
def test_an_office_that_can_not_be_reached_costs_nothing(delivering, keeping, cow, link, fault):
    made = pair(keeping, FIRST, "450")
    link.spoil(fault, only="push")
    delivering.deliver(keeping, None)
    assert "1 unsent" in delivering.live.now().delivery
    assert states(keeping) == [PairState.GIVEN]
    delivering.deliver(keeping, None)
    assert in_record() == [(made, "450")]


def test_a_weight_of_an_unknown_tag_waits_at_the_office(delivering, keeping, kettle_bench):
    pair(keeping, SECOND, "450")
    delivering.deliver(keeping, None)
    assert "1 asked about at the office" in delivering.live.now().delivery
    assert in_record() == []


def test_a_number_that_a_person_typed_goes_the_same_way(delivering, keeping, kettle_bench, cow):
    weight = reading(keeping, ReadingKind.WEIGHT, "450", "kg")
    keeping.mark(weight, State.KEPT, "No number was read for it.")
    made = pairs.join_by_person(keeping, weight, "", "112")
    delivering.deliver(keeping, None)
    assert Event.objects.get(pk=made).animal_id == cow


def test_what_can_not_be_handed_over_comes_back_to_a_person(delivering, keeping, cow):
    weight = reading(keeping, ReadingKind.WEIGHT, "450", "kg")
    keeping.mark(weight, State.KEPT)
    pairs.join_by_person(keeping, weight, "", "84027000000012")
    delivering.deliver(keeping, None)
    assert states(keeping) == [PairState.APART]
    (kept,) = keeping.readings(State.KEPT)
    assert (kept.id, "14 digits" in kept.reason) == (weight, True)


class Dropped:
    """A folder with a file in it that was last written on a day of its own."""

    def __init__(self, tmp_path, keeping):
        self.path = tmp_path / "dropped"
        self.path.mkdir()
        self.watch = Watch(Folder(self.path, settled=10), keeping)

    def write(self, name, text, day=14):
        path = self.path / name
        path.write_text(text)
        moment = datetime(2026, 3, day, 12, tzinfo=UTC).timestamp()
        os.utime(path, (moment, moment))
        return path


@pytest.fixture
def dropped(tmp_path, keeping):
    return Dropped(tmp_path, keeping)


def names(found):
    return [one.path.name for one in found]


def test_a_file_that_is_still_written_is_waited_for(dropped):
    dropped.write("day.csv", "EID,weight\n8402")
    assert names(dropped.watch.look(0)) == []
    assert names(dropped.watch.look(9)) == []
    dropped.write("day.csv", "EID,weight\n840270000000123,450\n")
    assert names(dropped.watch.look(11)) == []
    assert names(dropped.watch.look(20)) == []
    assert names(dropped.watch.look(22)) == ["day.csv"]


def test_hidden_half_written_empty_and_other_files_are_left_alone(dropped):
    for name in (".day.csv", "~day.csv", "day.csv.part", "day.pdf"):
        dropped.write(name, "EID\n")
    dropped.write("empty.csv", "")
    dropped.watch.look(0)
    assert names(dropped.watch.look(20)) == []


def test_the_same_content_is_uploaded_once_whatever_it_is_called(dropped, keeping):
    for name in ("day.csv", "copy of day.csv"):
        dropped.write(name, "EID\n840270000000123\n")
    dropped.watch.look(0)
    first, second = dropped.watch.look(20)
    assert first.digest == second.digest
    dropped.watch.note(first, "sent")
    assert names(dropped.watch.look(40)) == []
    again = Watch(dropped.watch.folder, keeping)
    again.look(0)
    assert names(again.look(20)) == []


def look_twice(delivering, keeping, dropped, monkeypatch):
    """Look when the files are new, and again when they are whole."""
    for at in (0.0, 20.0):
        monkeypatch.setattr("herd.bridge.delivering.time.monotonic", lambda at=at: at)
        delivering.deliver(keeping, dropped.watch)


def done_with_days():
    """The office has read its days."""
    for day in ProcessingDay.objects.all():
        work_on_day(str(day.pk))


def test_files_come_to_the_office_in_one_day_of_theirs(delivering, keeping, dropped, monkeypatch, kettle_bench):
    dropped.write("tags.csv", "EID\n840270000000123\n")
    look_twice(delivering, keeping, dropped, monkeypatch)
    dropped.write("weights.csv", "EID,kg\n840270000000123,450\n")
    look_twice(delivering, keeping, dropped, monkeypatch)
    (day,) = ProcessingDay.objects.all()
    assert str(day.worked_on) == "2026-03-14"
    assert {one[0] for one in uploads(keeping)} == {"tags.csv", "weights.csv"}
    done_with_days()
    look_twice(delivering, keeping, dropped, monkeypatch)
    assert sorted(FieldFile.objects.values_list("name", flat=True)) == ["tags.csv", "weights.csv"]
    assert ProcessingDay.objects.count() == 1


@pytest.mark.parametrize("fault", [drop_request, drop_answer, answer(503)])
def test_a_file_whose_answer_was_lost_is_there_once(delivering, keeping, dropped, monkeypatch, link, fault):
    dropped.write("tags.csv", "EID\n840270000000123\n")
    link.spoil(None, fault, only="days/")
    look_twice(delivering, keeping, dropped, monkeypatch)
    assert "waits" in delivering.live.now().folder
    delivering.deliver(keeping, dropped.watch)
    assert FieldFile.objects.count() == 1
    assert [(state) for _, _, state, _ in uploads(keeping)] == ["sent"]


def test_a_file_that_the_office_refuses_is_told_and_not_sent_again(delivering, keeping, dropped, monkeypatch, link):
    dropped.write("tags.csv", "EID\n840270000000123\n")
    link.spoil(None, answer(422, '{"type": "urn:x:refused", "detail": "It can not be read."}'), only="days/")
    look_twice(delivering, keeping, dropped, monkeypatch)
    assert uploads(keeping)[0][2:] == ("refused", "It can not be read.")
    calls = len(link.calls)
    delivering.deliver(keeping, dropped.watch)
    assert not [one for one in link.calls[calls:] if "days" in one]


def test_an_animal_registered_later_gets_the_weight(delivering, keeping, phone_of_office):
    made = pair(keeping, SECOND, "450")
    delivering.deliver(keeping, None)
    phone_of_office(SECOND)
    delivering.deliver(keeping, None)
    assert in_record() == [(made, "450")]


def test_two_outfits_numbers_are_not_mixed(delivering, keeping, far_rim, kettle_bench):
    register(far_rim, eid_tag(FIRST))
    pair(keeping, FIRST, "450")
    delivering.deliver(keeping, None)
    assert in_record() == []
