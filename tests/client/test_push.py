"""The outbox is delivered whatever the link does: nothing is lost, nothing is there twice, nothing is held up."""

import json

import httpx
import pytest

from herd.client import Blocked, Busy, Client, Faulty, Offline, Refused, Unfit
from herd.client import outbox as outboxes
from herd.client.retrying import wait_before
from herd.client.wire import Wire
from herd.registry.models import Animal, Event
from herd.sync.devices import change_state, renew_code
from herd.sync.models import Device, DeviceRole, DeviceState, Operation
from tests.client.conftest import EID
from tests.client.linking import URL, answer, around, deliver_twice, drop_answer, drop_request


def note(client, count, text="note"):
    """Capture notes of the cow and return their ids."""
    return {str(client.record("note", EID, {"note": f"{text} {number}"})) for number in range(count)}


def recorded():
    """The ids of the events in the record."""
    return {str(one) for one in Event.objects.values_list("pk", flat=True)}


@pytest.mark.parametrize("fault", [drop_request, drop_answer, answer(503), answer(429), answer(502, "<html>")])
def test_a_push_that_fails_on_its_way_is_made_again_and_counts_once(scale, link, cow, fault, naps):
    ids = note(scale, 7)
    link.spoil(fault, fault)
    assert scale.sync() == 7
    assert len(naps) == 2
    assert scale.unsent() == []
    assert recorded() == ids


def test_a_request_that_the_network_doubles_counts_once(scale, link, cow):
    ids = note(scale, 3)
    link.spoil(deliver_twice)
    scale.push()
    assert recorded() == ids
    assert {one["status"] for one in scale.trouble()} == set()


def test_a_request_that_arrives_after_all_is_over_changes_nothing(scale, link, cow):
    ids = note(scale, 3)
    link.spoil(link.keep_back)
    with pytest.raises(Offline):
        scale.push()
    more = note(scale, 2, "later")
    scale.push()
    assert link.deliver_late() == [200]
    assert recorded() == ids | more


def test_an_answer_from_something_else_is_no_answer(scale, link, cow):
    ids = note(scale, 2)
    for strange in (answer(200, "<html>Sign in to the network"), answer(200, "[]"), answer(404, "gone"), answer(302)):
        link.spoil(strange)
        with pytest.raises(Offline):
            scale.push()
    link.spoil(answer(200, json.dumps({"epoch": "x", "server_time": "2026-01-01T00:00:00Z", "results": []})))
    with pytest.raises(Offline, match="does not fit"):
        scale.push()
    scale.push()
    assert recorded() == ids


def test_portions_hold_at_most_five_hundred_in_the_order_of_capture(scale, link, cow):
    note(scale, 1001)
    assert scale.push() == 1001
    assert link.calls.count("POST sync/push/") == 3
    assert list(Operation.objects.order_by("received_at", "dseq").values_list("dseq", flat=True)) == [*range(1, 1002)]


def test_portions_hold_at_most_a_mebibyte(scale, link, cow):
    ids = note(scale, 8, "x" * 200_000)
    assert scale.push() == 8
    assert link.calls.count("POST sync/push/") == 2
    assert recorded() == ids


def test_a_group_is_never_cut_in_two_portions(scale, link, cow, monkeypatch):
    monkeypatch.setattr("herd.client.pushing.MOST_OPERATIONS", 20)
    ids = note(scale, 15)
    with scale.grouped():
        ids |= note(scale, 10, "together")
    assert [len(unit) for unit in outboxes.units(scale._store, 20, 10**6)] == [1] * 15
    assert scale.push() == 25
    assert link.calls.count("POST sync/push/") == 2
    assert recorded() == ids


def test_a_portion_that_is_too_large_is_sent_in_halves(scale, link, cow):
    ids = note(scale, 4)
    link.spoil(answer(413), answer(413, "<html>nginx"))
    assert scale.push() == 4
    assert recorded() == ids


def test_what_the_server_stumbles_over_keeps_nothing_else_back(scale, link, cow):
    ids = note(scale, 20)
    bad = str(scale.record("note", EID, {"note": "stumbling block"}))
    ids |= note(scale, 20, "after")
    inner = link.handle_request

    class Stumbling(httpx.BaseTransport):
        def handle_request(self, request):
            found = inner(request)
            return httpx.Response(500) if bad.encode() in unpacked(request) else found

    scale._wire = Wire(URL, scale._wire._token, Stumbling())
    scale.push()
    assert [one["op_id"] for one in scale.unsent()] == [bad]
    assert [one["op_id"] for one in scale.trouble()] == [bad]
    late = note(scale, 1, "late")
    assert scale.push() == 1
    assert recorded() == ids | late | {bad}


def unpacked(request):
    return httpx.Response(200, headers=request.headers, content=request.content).content


def test_a_server_that_only_stumbles_is_left_alone_soon(scale, link, cow):
    note(scale, 500)
    link.spoil(*[answer(500)] * 50)
    with pytest.raises(Faulty):
        scale.push()
    assert len(link.calls) < 20
    assert len(scale.unsent()) == 500


def test_a_group_with_a_bad_member_is_held_whole_and_tells_why(scale, cow):
    with scale.grouped():
        scale.register([{"kind": "vid", "number": "900"}], entry_class="heifer")
        scale.correct(scale.record("note", EID, {"note": "a"}), "weight", {"weight": "12", "unit": "kg"})
    scale.push()
    assert {one["status"] for one in scale.trouble()} == {"held"}
    assert any(one["reasons"] for one in scale.trouble())
    assert Animal.objects.count() == 1


def test_what_is_kept_aside_stays_readable_with_its_reason(kettle_bench, tmp_path, link, code_of, cow):
    client = Client.enrol(URL, code_of(role=DeviceRole.READ), tmp_path / "r.db", around(link))
    client.weigh(EID, "1180", "lb")
    client.push()
    [kept] = client.trouble()
    assert (kept["status"], kept["data"]["data"]["weight"]) == ("quarantined", "1180")
    assert kept["reasons"][0]["detail"] == "This device may read only."
    assert client.unsent() == []


def test_a_blocked_device_keeps_its_outbox_and_delivers_with_a_new_code(scale, link, cow, tmp_path, naps):
    ids = note(scale, 3)
    device = Device.objects.get()
    change_state(device, DeviceState.BLOCKED)
    with pytest.raises(Blocked, match="new code"):
        scale.sync()
    assert naps == []
    ids |= note(scale, 1, "meanwhile")
    assert len(scale.unsent()) == 4
    change_state(device, DeviceState.ACTIVE)
    again = Client.enrol(URL, renew_code(Device.objects.get()), tmp_path / "scale.db", around(link))
    assert again.sync() == 4
    assert recorded() == ids
    note(scale, 1, "of the program that was open all along")
    assert scale.push() == 1


def test_a_token_that_has_ended_is_told_and_nothing_is_lost(scale, link, cow):
    note(scale, 2)
    Device.objects.update(token_hash="")
    with pytest.raises(Blocked):
        scale.push()
    assert len(scale.unsent()) == 2


def test_a_retired_device_delivers_and_reads_no_more(scale, cow):
    ids = note(scale, 2)
    change_state(Device.objects.get(), DeviceState.RETIRED)
    with pytest.raises(Refused, match="retired"):
        scale.sync()
    assert recorded() == ids
    assert scale.unsent() == []


def test_a_code_that_does_not_hold_is_told_and_a_file_stays_with_its_outfit(scale, far_rim, code_of, tmp_path, link):
    with pytest.raises(Refused, match="code does not hold"):
        Client.enrol(URL, "WRONG-CODE2", tmp_path / "other.db", around(link))
    note(scale, 1)
    with pytest.raises(Unfit, match="belongs to kettle-bench"):
        Client.enrol(URL, code_of(far_rim), tmp_path / "scale.db", around(link))
    assert len(scale.unsent()) == 1


def test_two_programs_do_not_deliver_at_once(scale, tmp_path, link, cow):
    other = Client.open(tmp_path / "scale.db", around(link))
    with other._store.alone(), pytest.raises(Busy):
        scale.push()
    scale.push()


def test_a_long_wait_that_the_server_asks_for_is_kept(scale, link, cow, naps):
    note(scale, 1)
    link.spoil(answer(429, Retry_After="90"), answer(503, Retry_After="Wed, 21 Oct 2015 07:28:00 GMT"), answer(503))
    scale.sync()
    assert naps == [90.0, 2.0, 4.0]


def test_waits_grow_from_one_second_to_five_minutes_and_are_spread_by_chance():
    assert [wait_before(attempt, 1.0, None) for attempt in (0, 1, 5, 9, 60)] == [1, 2, 32, 300, 300]
    assert wait_before(9, 0.5, None) == 150
    assert wait_before(0, 0.0, 40.0) == 40


def test_a_server_out_of_reach_is_told_after_the_last_try(scale, link, naps):
    link.spoil(*[drop_request] * 6)
    with pytest.raises(Offline):
        scale.sync()
    assert naps == [1, 2, 4, 8, 16]


def test_what_was_held_or_asked_is_followed_until_it_is_in_the_record(scale, kettle_bench, phone_of_office):
    scale.weigh("840270000000888", "900", "lb")
    scale.sync()
    assert [one["status"] for one in scale.trouble()] == ["held"]
    phone_of_office("840270000000888")
    scale.sync()
    assert scale.trouble() == []
    [card] = scale.find("840270000000888")
    assert [one["weight"] for one in card["weights"]] == ["900"]
    assert card["unsent"] == 0
