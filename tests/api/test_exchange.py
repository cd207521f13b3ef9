"""The open exchange over the API: collections by location, page by page, and batches that are staged for review."""

from datetime import UTC, date, datetime, timedelta

import pytest

from herd.intake.models import ProcessingDay
from herd.registry.models import Animal, Event
from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.sync.models import DeviceRole
from tests.api.conftest import CALLER
from tests.cast import eid_tag, entry, register
from tests.exchange.schemas import faults_of, needs_schemas
from tests.exchange.test_foreign import BAD, FOREIGN

AT = "exchange/locations/urn:notchbook:outfit/kettle-bench"
BATCH = "exchange/batches/locations/urn:notchbook:outfit/kettle-bench/"


@pytest.fixture
def herd(kettle_bench):
    """Three cows, two of them in a pen at a place, each with a note."""
    place = groups.open_location(entry=entry(kettle_bench), name="Home")
    pen = groups.open_group(entry=entry(kettle_bench), name="Pen 4", kind="pen", location_id=place)
    cows = [
        register(kettle_bench, eid_tag(f"84027000000080{place}"), group_id=pen if place else None)
        for place in range(3)
    ]
    notes = [NewEvent(cow, "note", date(2026, 3, 1), {"note": "quiet"}) for cow in cows]
    events.record(entry=entry(kettle_bench), events=notes)
    return {"place": place, "pen": pen, "cows": cows}


@needs_schemas
def test_each_collection_keeps_to_the_schemas(reader, herd):
    for plural in ("animals", "animal-sets", "animal-set-joins", "events"):
        answer = reader.get(f"{AT}/{plural}/").json()
        assert answer["view"]["totalItems"] == len(answer["member"]) > 0
        assert [fault for one in answer["member"] for fault in faults_of(one)] == []


def test_pages_lead_on_to_each_other(reader, herd):
    first = reader.get(f"{AT}/animals/?pageSize=2").json()
    assert (first["view"]["totalItems"], first["view"]["totalPages"], len(first["member"])) == (3, 2, 2)
    second = reader.get(first["view"]["next"].partition("/api/v1/")[2]).json()
    assert "next" not in second["view"]
    assert second["view"]["prev"] == first["view"]["first"]
    named = {one["identifier"]["id"] for one in (*first["member"], *second["member"])}
    assert named == {str(cow) for cow in herd["cows"]}


def test_a_location_has_its_own_animals_only(reader, herd):
    [_, home] = reader.get("exchange/locations/").json()["member"]
    key = home["identifier"]
    answer = reader.get(f"exchange/locations/{key['scheme']}/{key['id']}/animals/").json()
    assert {one["identifier"]["id"] for one in answer["member"]} == {str(cow) for cow in herd["cows"][1:]}


def test_only_what_has_changed_is_asked_for(reader, herd):
    moment = (datetime.now(UTC) + timedelta(minutes=1)).isoformat().replace("+", "%2B")
    assert reader.get(f"{AT}/animals/?meta-modified-from={moment}").json()["member"] == []
    assert len(reader.get(f"{AT}/animals/?meta-modified-to={moment}").json()["member"]) == 3


def test_a_device_of_one_group_gets_its_animals_only(kettle_bench, phone_of, herd):
    phone = phone_of(kettle_bench, DeviceRole.CAPTURE, groups=[str(herd["pen"])])
    assert phone.get(f"{AT}/animals/").json()["view"]["totalItems"] == 2
    assert phone.get(f"{AT}/events/").json()["view"]["totalItems"] == 2
    assert phone.post(BATCH, FOREIGN).status_code == 403


def test_another_outfits_location_is_not_found(stranger, herd):
    assert stranger.get(f"{AT}/animals/").status_code == 404
    assert stranger.get(f"exchange/locations/urn:notchbook:location/{herd['place']}/animals/").status_code == 404
    assert stranger.post(BATCH, FOREIGN).status_code == 404


@pytest.mark.parametrize("asked", ["nothing/", "animals/?page=0", "animals/?pageSize=501", "animals/?colour=red"])
def test_what_is_asked_wrongly_is_told(reader, kettle_bench, asked):
    answer = reader.get(f"{AT}/{asked}")
    assert answer.status_code in {400, 404}
    assert answer.headers["Content-Type"].startswith("application/problem+json")


def test_a_batch_is_staged_and_each_resource_answered(phone, kettle_bench):
    change, pointer, _ = BAD[0]
    answer = phone.post(BATCH, [FOREIGN[1], {**FOREIGN[5], **change}, FOREIGN[5]])
    assert answer.status_code == 202
    taken, bad, good = answer.json()
    assert taken["meta"]["sourceId"] == "17"
    assert bad["messages"][0]["severity"] == "Error"
    assert bad["messages"][0]["instance"] == pointer.removeprefix("/member")
    assert good["messages"][0]["severity"] == "Information"
    assert Animal.objects.count() == Event.objects.count() == 0
    day = ProcessingDay.objects.get()
    assert answer.headers["Location"] == f"/api/v1/days/{day.pk}/"
    assert phone.get(f"days/{day.pk}/").json()["state"] == "review"


def test_a_reader_sends_nothing(reader, kettle_bench):
    assert reader.post(BATCH, FOREIGN).status_code == 403


@pytest.mark.parametrize("content", ["", "[]", "{", '{"member": []}', "[1"])
def test_what_is_no_batch_is_refused(phone, kettle_bench, content):
    sent = {"Authorization": f"Bearer {phone.token}"}
    answer = CALLER.post(f"/api/v1/{BATCH}", data=content, content_type="application/json", headers=sent)
    assert answer.status_code == 400
    assert not ProcessingDay.objects.exists()
