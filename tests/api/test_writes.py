"""What the office does, over the API: animals registered, groups and lists kept, many events recorded together."""

from uuid import uuid4

import pytest

from herd.registry.models import Animal, Event
from herd.registry.services import groups
from tests.cast import entry, register, vid_tag

DAY = "2026-03-14"
TAG = {"kind": "vid", "number": "112", "colour": "yellow"}


@pytest.fixture
def bench(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Upper Bench")


def test_an_animal_is_registered_with_tags_and_group(phone, bench):
    eid = {"kind": "eid", "number": "840 270 000 000 123"}
    sent = {"entry_class": "cow", "breed": "AN", "tags": [TAG, eid], "group": str(bench), "on": DAY}
    answer = phone.post("animals/", sent)
    assert answer.status_code == 201, answer.content
    shown = answer.json()
    assert {tag["number"] for tag in shown["tags"]} == {"112", "840270000000123"}
    assert (shown["group"]["name"], shown["breed"]) == ("Upper Bench", "AN")
    assert phone.get(answer["Location"].removeprefix("/api/v1/")).json() == shown


def test_an_animal_sent_twice_under_its_id_is_one(phone):
    sent = {"id": str(uuid4()), "entry_class": "cow", "tags": [TAG], "on": DAY}
    assert [phone.post("animals/", sent).status_code for _ in range(2)] == [201, 200]
    assert Animal.objects.count() == 1


def test_another_animal_under_an_id_is_a_conflict(phone, stranger):
    key = str(uuid4())
    phone.post("animals/", {"id": key, "entry_class": "cow"})
    assert phone.post("animals/", {"id": key, "entry_class": "bull"}).status_code == 409
    assert stranger.post("animals/", {"id": key, "entry_class": "cow"}).status_code == 409


def test_a_tag_that_can_not_be_read_is_told_in_its_place(phone):
    answer = phone.post("animals/", {"tags": [TAG, {"kind": "eid", "number": "12"}]})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/tags/1/number")


def test_a_group_is_renamed_closed_and_opened_again(office, bench, kettle_bench):
    etag = office.get(f"groups/{bench}/")["ETag"]
    assert office.patch(f"groups/{bench}/", {"name": "Lower Bench"}, If_Match=etag).json()["name"] == "Lower Bench"
    register(kettle_bench, vid_tag("1"), group_id=bench)
    refused = office.post(f"groups/{bench}/close/", {"on": DAY})
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (422, "/into")
    other = office.post("groups/", {"name": "Mill Trap"}).json()["id"]
    assert office.post(f"groups/{bench}/close/", {"on": DAY, "into": other}).json()["is_closed"] is True
    assert len(office.get(f"groups/{other}/members/").json()["items"]) == 1
    assert office.post(f"groups/{bench}/reopen/", {}).json()["is_closed"] is False


def test_a_whole_group_moves_to_a_location(office, bench, kettle_bench):
    register(kettle_bench, vid_tag("1"), group_id=bench)
    place = office.post("locations/", {"name": "Creek", "premises_number": ""}).json()["id"]
    moved = office.post(f"groups/{bench}/place/", {"location": place, "on": DAY})
    assert moved.json() == {"animals": 1}
    assert office.get(f"groups/{bench}/").json()["location"]["id"] == place
    still = office.patch(f"locations/{place}/", {"is_retired": True}, If_Match="*")
    assert still.status_code == 422


def test_a_location_is_changed_and_retired_in_one(office):
    place = office.post("locations/", {"name": "Creek"}).json()["id"]
    shown = office.patch(f"locations/{place}/", {"name": "Dry Creek", "is_retired": True}, If_Match="*").json()
    assert (shown["name"], shown["is_retired"]) == ("Dry Creek", True)


def test_a_product_is_added_and_put_right(office):
    made = office.post("products/", {"name": "Drench", "meat_withdrawal_days": 14})
    assert made.status_code == 201
    address = f"products/{made.json()['id']}/"
    assert office.patch(address, {"meat_withdrawal_days": 21}, If_Match="*").json()["meat_withdrawal_days"] == 21


def test_lists_are_the_offices_to_change(phone, bench):
    assert phone.post("products/", {"name": "Drench"}).status_code == 403
    assert phone.post(f"groups/{bench}/close/", {"on": DAY}).status_code == 403


def test_another_outfits_rows_are_not_found_by_those_who_would_change_them(office, stranger, bench):
    place = office.post("locations/", {"name": "Creek"}).json()["id"]
    product = office.post("products/", {"name": "Drench"}).json()["id"]
    for address in (f"groups/{bench}/", f"locations/{place}/", f"products/{product}/"):
        assert stranger.patch(address, {"name": "Mine"}, If_Match="*").status_code == 404, address
    for step, sent in (("close", {"on": DAY}), ("reopen", {}), ("place", {"location": place, "on": DAY})):
        assert stranger.post(f"groups/{bench}/{step}/", sent).status_code == 404, step


def weighing(animal, **more):
    data = {"weight": "1180", "unit": "lb"}
    return {"animal": str(animal), "kind": "weight", "happened_on": DAY, "data": data, **more}


def test_many_events_are_recorded_together_and_once(phone, kettle_bench):
    cows = [register(kettle_bench, vid_tag(str(number))) for number in range(3)]
    sent = {"events": [weighing(cow, id=str(uuid4())) for cow in cows]}
    first, again = (phone.post("events/many/", sent).json() for _ in range(2))
    assert (first["recorded"], again["recorded"]) == (3, 0)
    assert first["ids"] == again["ids"] == [one["id"] for one in sent["events"]]
    assert Event.objects.count() == 3


def test_many_events_are_recorded_all_or_none(phone, kettle_bench):
    sent = {"events": [weighing(register(kettle_bench, vid_tag("1"))), weighing(uuid4())]}
    assert phone.post("events/many/", sent).status_code == 422
    assert Event.objects.count() == 0
