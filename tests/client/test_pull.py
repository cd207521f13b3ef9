"""The local copy: whole before it is shown, resumed where it was cut off, and never behind what it says."""

import json
from uuid import UUID

import pytest

from herd.client import Client, Offline, Refused
from herd.client.copy import rows_of
from herd.registry.models import Animal
from herd.registry.services import animals, groups
from herd.sync.models import Device
from tests.cast import eid_tag, entry, register, vid_tag
from tests.client.conftest import EID
from tests.client.linking import URL, answer, around, cut_after, drop_request
from tests.sync.sending import DAY


@pytest.fixture
def herd(kettle_bench, bench):
    """Twelve animals with visual tags 200 to 211."""
    return [str(register(kettle_bench, vid_tag(str(number)), group_id=bench)) for number in range(200, 212)]


@pytest.fixture
def small_steps(monkeypatch):
    """Lines are stored three at a time, and changes asked for one at a time."""
    monkeypatch.setattr("herd.client.pulling.STEP", 3)
    monkeypatch.setattr("herd.client.pulling.PAGE", 1)


def known(client):
    return sorted(one["id"] for one in rows_of(client._store, "animal"))


def test_a_first_copy_brings_every_card_and_list(scale, herd, bench):
    scale.pull()
    assert known(scale) == herd
    assert [one["name"] for one in scale.groups()] == ["Upper Bench"]
    assert scale.products() == []


@pytest.mark.parametrize("in_silence", [False, True])
def test_a_first_copy_that_is_cut_off_shows_nothing_and_goes_on_where_it_was(
    scale, link, herd, small_steps, in_silence
):
    link.spoil(cut_after(7, in_silence=in_silence), only="snapshot")
    with pytest.raises(Offline):
        scale.pull()
    assert known(scale) == []
    assert scale._store.get("copy_after") in herd[3:6]
    scale.pull()
    assert known(scale) == herd
    assert [call for call in link.calls if "snapshot" in call] == ["GET sync/snapshot/"] * 2
    assert scale.groups() != []


def test_what_changes_while_a_first_copy_is_cut_off_is_not_missed(scale, link, herd, kettle_bench, small_steps):
    link.spoil(cut_after(9), only="snapshot")
    with pytest.raises(Offline):
        scale.pull()
    early = Animal.objects.get(pk=herd[0])
    animals.correct(entry=entry(kettle_bench), animal=early, facts={"breed": "HE"}, reason="")
    late = str(register(kettle_bench, vid_tag("300")))
    scale.pull()
    assert known(scale) == sorted([*herd, late])
    assert scale.animal(herd[0])["breed"] == "HE"


def test_a_first_copy_cut_off_before_any_animal_begins_anew(scale, link, herd, small_steps):
    link.spoil(cut_after(1), cut_after(2), only="snapshot")
    scale.sync()
    assert known(scale) == herd
    assert [one["name"] for one in scale.groups()] == ["Upper Bench"]


def test_a_first_copy_of_another_scope_is_not_mixed_with_one_that_was_cut_off(
    scale, link, herd, kettle_bench, bench, small_steps
):
    link.spoil(cut_after(8), only="snapshot")
    with pytest.raises(Offline):
        scale.pull()
    Device.objects.update(groups=[str(groups.open_group(entry=entry(kettle_bench), name="Empty Lot"))])
    scale.sync()
    assert known(scale) == []


def test_a_first_copy_with_a_line_missing_is_not_shown(scale, link, herd):
    def lose_a_line(request, send):
        found = send(request)
        lines = found.read().splitlines(keepends=True)
        return answer(200, b"".join(lines[:4] + lines[5:]).decode())(request, send)

    link.spoil(lose_a_line, only="snapshot")
    with pytest.raises(Offline, match="not come whole"):
        scale.pull()
    assert known(scale) == []
    scale.pull()
    assert known(scale) == herd


def test_a_process_that_ends_in_the_middle_of_a_first_copy_goes_on_in_another(
    scale, link, herd, small_steps, tmp_path
):
    link.spoil(cut_after(8), only="snapshot")
    with pytest.raises(Offline):
        scale.pull()
    scale.close()
    client = Client.open(tmp_path / "scale.db", around(link))
    client.pull()
    assert known(client) == herd


def test_changes_come_with_the_next_pull_in_one_request(scale, link, herd, kettle_bench):
    scale.sync()
    animal = Animal.objects.get(pk=herd[0])
    animals.correct(entry=entry(kettle_bench), animal=animal, facts={"breed": "HE"}, reason="")
    link.calls.clear()
    scale.sync()
    assert link.calls == ["GET sync/changes/"]
    assert scale.animal(herd[0])["breed"] == "HE"


def test_pages_are_shown_together_when_the_last_has_come(scale, link, herd, kettle_bench, small_steps):
    scale.pull()
    more = [str(register(kettle_bench, vid_tag(str(number)))) for number in range(300, 304)]
    link.spoil(None, None, drop_request, only="changes")
    with pytest.raises(Offline):
        scale.pull()
    assert known(scale) == herd
    reached = scale._store.get("staged_cursor")
    assert reached not in {"", scale._store.get("cursor")}
    link.asked.clear()
    scale.pull()
    assert known(scale) == sorted(herd + more)
    assert reached in link.asked[0]


def test_an_animal_that_leaves_what_the_device_may_read_is_gone_from_it(
    kettle_bench, bench, herd, code_of, tmp_path, link
):
    client = Client.enrol(URL, code_of(groups=[bench]), tmp_path / "pen.db", around(link))
    client.pull()
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    groups.move(entry=entry(kettle_bench), animal_ids=[UUID(herd[0])], group_id=trap, on=DAY)
    client.pull()
    assert known(client) == herd[1:]
    assert client.find("200") == []


def test_a_device_whose_groups_change_takes_a_new_copy_and_keeps_its_outbox(scale, link, kettle_bench, herd, bench):
    scale.sync()
    trap = groups.open_group(entry=entry(kettle_bench), name="Mill Trap")
    Device.objects.update(groups=[str(trap)])
    scale.weigh("200", "900", "lb")
    link.spoil(drop_request, only="push")
    with pytest.raises(Offline):
        scale.push()
    scale.pull()
    assert known(scale) == []
    assert scale.unsent() == []
    assert "POST sync/push/" in link.calls


@pytest.mark.parametrize("word", ["schema-changed", "cursor-expired"])
def test_a_copy_of_another_shape_is_replaced(scale, link, herd, word):
    scale.sync()
    problem = json.dumps({"type": f"urn:notchbook:problem:{word}", "status": 409, "detail": "Anew."})
    link.spoil(answer(409, problem), only="changes")
    scale.sync()
    assert known(scale) == herd


def test_a_refusal_of_another_kind_is_told_and_the_copy_stays(scale, link, herd):
    scale.sync()
    link.spoil(answer(403, json.dumps({"type": "urn:notchbook:problem:forbidden", "detail": "No."})), only="changes")
    with pytest.raises(Refused, match=r"No\."):
        scale.sync()
    assert known(scale) == herd


def test_merged_animals_are_found_as_the_one_that_stands(scale, kettle_bench, cow):
    """Both ids lead to the one card, as the feed says `merged`."""
    scale.sync()
    twin = scale.register([{"kind": "eid", "number": EID}], entry_class="cow")
    assert scale.animal(twin)["tags"] == [{"kind": "eid", "number": EID, "colour": ""}]
    scale.sync()
    assert scale.animal(twin)["id"] == str(cow)
    assert [one["id"] for one in scale.find(EID)] == [str(cow)]
    scale.weigh(twin, "1180", "lb")
    assert scale.animal(cow)["weights"][0]["weight"] == "1180"
    scale.sync()
    assert scale.animal(cow)["weights"][0]["weight"] == "1180"
    assert len(scale.animal(cow)["weights"]) == 1


def test_another_outfits_herd_never_comes(scale, far_rim, herd):
    stray = register(far_rim, eid_tag("840270000000999"))
    scale.pull()
    assert str(stray) not in known(scale)
    assert scale.find("840270000000999") == []
