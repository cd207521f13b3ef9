"""A write that is asked for again under its key is done once, and answered as the first time."""

import pytest

from herd.accounts.models import KeptAnswer
from herd.registry.models import Animal, Group
from tests.api.test_days import scale, send

KEY = "0f3c"


def test_a_group_asked_for_twice_under_a_key_is_opened_once(office):
    sent = {"name": "Mill Trap"}
    first, again = (office.post("groups/", sent, Idempotency_Key=KEY) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert again["Idempotency-Replayed"] == "true"
    assert first["Location"] == again["Location"] == f"/api/v1/groups/{first.json()['id']}/"
    assert Group.objects.count() == 1


def test_an_animal_without_a_number_is_registered_once_under_a_key(office):
    for _ in range(3):
        office.post("animals/", {"entry_class": "cow"}, Idempotency_Key=KEY)
    assert Animal.objects.count() == 1


def test_another_write_under_the_same_key_is_a_conflict(office):
    office.post("groups/", {"name": "Mill Trap"}, Idempotency_Key=KEY)
    answer = office.post("groups/", {"name": "Heifer Lot"}, Idempotency_Key=KEY)
    assert (answer.status_code, answer.json()["type"]) == (409, "urn:notchbook:problem:conflict")
    assert Group.objects.count() == 1


def test_a_write_that_was_refused_may_be_tried_again_under_its_key(office):
    office.post("groups/", {"name": "Mill Trap"})
    assert office.post("groups/", {"name": "Mill Trap"}, Idempotency_Key=KEY).status_code == 422
    assert KeptAnswer.objects.count() == 0


def test_a_key_is_its_callers_own(office, stranger):
    for caller in (office, stranger):
        assert caller.post("groups/", {"name": "Mill Trap"}, Idempotency_Key=KEY).status_code == 201
    assert Group.objects.count() == 2


def test_a_day_sent_twice_under_a_key_is_opened_once(office):
    file = scale("840270000000123,1180")
    first, again = (send(office, "days/", file, key=KEY, worked_on="2026-03-14").json() for _ in range(2))
    assert first["id"] == again["id"]
    assert len(office.get("days/").json()["items"]) == 1


@pytest.mark.parametrize("key", ["", "with space", "k" * 101])
def test_a_key_that_is_none_is_told_so(office, key):
    answer = office.post("groups/", {"name": "Mill Trap"}, Idempotency_Key=key)
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (400, "/Idempotency-Key")
