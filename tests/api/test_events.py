"""Events over the API: recorded once however often they are sent, corrected by another, voided with a reason."""

from uuid import uuid4

import pytest

from herd.registry.models import Event
from tests.cast import eid_tag, register

WEIGHED = "2026-03-14"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag("840270000000123"))


def weighing(animal, **more):
    data = {"weight": "1180", "unit": "lb"}
    return {"animal": str(animal), "kind": "weight", "happened_on": WEIGHED, "data": data, **more}


def test_a_weight_is_kept_as_read_and_exact(phone, cow):
    answer = phone.post("events/", weighing(cow))
    assert answer.status_code == 201
    # 1 lb is 453,592,370,000 ng (NIST SP 811, appendix B.8).
    assert answer.json()["weight_ng"] == str(1180 * 453_592_370_000)
    assert answer.json()["data"] == {"weight": "1180", "unit": "lb"}


def test_a_weight_without_unit_is_in_the_outfits(phone, cow):
    answer = phone.post("events/", weighing(cow, data={"weight": "1180"}))
    assert answer.json()["data"]["unit"] == "lb"


def test_an_event_sent_twice_is_recorded_once(phone, cow):
    sent = weighing(cow, id=str(uuid4()))
    assert [phone.post("events/", sent).status_code for _ in range(2)] == [201, 200]
    assert Event.objects.count() == 1


def test_another_event_under_the_same_id_is_a_conflict(phone, cow):
    sent = weighing(cow, id=str(uuid4()))
    phone.post("events/", sent)
    other = phone.post("events/", {**sent, "happened_on": "2026-03-15"})
    assert (other.status_code, other.json()["type"]) == (409, "urn:notchbook:problem:conflict")


def test_a_moment_gives_the_day_at_the_ranch(phone, cow):
    sent = weighing(cow, happened_at="2026-03-15T02:30:00Z")
    del sent["happened_on"]
    # 02:30 UTC is the evening before in America/Denver.
    assert phone.post("events/", sent).json()["happened_on"] == WEIGHED


@pytest.mark.parametrize(
    ("data", "pointer"),
    [({"weight": "heavy"}, "/data/weight"), ({"weight": "1180", "unit": "stone"}, "/data/unit")],
)
def test_a_weight_that_can_not_be_read_is_told_in_its_place(phone, cow, data, pointer):
    answer = phone.post("events/", weighing(cow, data=data))
    assert answer.status_code == 422
    assert [one["pointer"] for one in answer.json()["errors"]] == [pointer]


def test_an_event_of_another_outfits_animal_is_refused(stranger, cow):
    answer = stranger.post("events/", weighing(cow))
    assert answer.status_code == 422
    assert Event.objects.count() == 0


def test_a_correction_stands_in_place_of_the_first(phone, cow):
    first = phone.post("events/", weighing(cow)).json()["id"]
    sent = {"kind": "weight", "happened_on": WEIGHED, "data": {"weight": "1108"}, "reason": "two swapped"}
    new = phone.post(f"events/{first}/correct/", sent).json()
    assert new["supersedes"] == first
    assert [one["id"] for one in phone.get(f"events/?animal={cow}").json()["items"]] == [new["id"]]


def test_a_void_needs_its_reason(phone, cow):
    first = phone.post("events/", weighing(cow)).json()["id"]
    assert phone.post(f"events/{first}/void/", {}).status_code == 400
    assert phone.post(f"events/{first}/void/", {"reason": "other animal"}).status_code == 204
    assert phone.get(f"events/{first}/").status_code == 404


def test_what_a_device_wrote_is_signed_with_its_name(phone, cow):
    phone.post("events/", weighing(cow))
    last = phone.get("changesets/?kind=device").json()["items"][-1]
    assert (last["title"], last["person_name"]) == ("Recorded weight", phone.device.name)
