"""Animals over the API: listed by page, shown with their state, changed only by who has seen that state."""

import pytest

from herd.registry.models import Animal
from tests.cast import eid_tag, register, vid_tag

EID = "840270000000123"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag(EID), vid_tag("112"), breed="AN")


def test_an_animal_is_shown_with_the_tags_it_wears(phone, cow):
    answer = phone.get(f"animals/{cow}/")
    assert answer.status_code == 200
    shown = answer.json()
    assert shown["animal_class"] == "cow"
    assert [(tag["kind"], tag["number"], tag["colour"]) for tag in shown["tags"]] == [
        ("eid", EID, ""),
        ("vid", "112", "yellow"),
    ]


def test_a_list_comes_in_pages_that_leave_nobody_out(phone, kettle_bench):
    herd = {str(register(kettle_bench, vid_tag(str(number)))) for number in range(7)}
    seen, address = [], "animals/?limit=3"
    while address:
        page = phone.get(address).json()
        assert len(page["items"]) <= 3
        seen += [one["id"] for one in page["items"]]
        address = page["next"] and page["next"].split("/api/v1/")[1]
    assert len(seen) == len(herd)
    assert set(seen) == herd


def test_a_page_takes_the_same_queries_however_many_animals(phone, kettle_bench, django_assert_max_num_queries):
    for number in range(12):
        register(kettle_bench, eid_tag(f"8402700000000{number:02}"), vid_tag(str(number)))
    with django_assert_max_num_queries(4):
        assert len(phone.get("animals/").json()["items"]) == 12


def test_only_the_fields_asked_for_are_sent(phone, cow):
    assert phone.get(f"animals/{cow}/?fields=id,breed").json() == {"id": str(cow), "breed": "AN"}
    answer = phone.get("animals/?fields=wool")
    assert answer.status_code == 400
    assert "wool" in answer.json()["detail"]


def test_a_state_that_the_caller_has_is_not_sent_again(phone, cow):
    etag = phone.get(f"animals/{cow}/")["ETag"]
    again = phone.get(f"animals/{cow}/", If_None_Match=etag)
    assert (again.status_code, again.content) == (304, b"")


def test_facts_are_changed_in_the_state_that_was_read(phone, cow):
    etag = phone.get(f"animals/{cow}/")["ETag"]
    answer = phone.patch(f"animals/{cow}/", {"breed": "HE", "reason": "papers"}, If_Match=etag)
    assert answer.status_code == 200
    assert answer.json()["breed"] == "HE"
    assert answer["ETag"] == phone.get(f"animals/{cow}/")["ETag"] != etag


def test_a_stale_state_changes_nothing(phone, cow):
    etag = phone.get(f"animals/{cow}/")["ETag"]
    phone.patch(f"animals/{cow}/", {"breed": "HE"}, If_Match=etag)
    late = phone.patch(f"animals/{cow}/", {"breed": "CH"}, If_Match=etag)
    assert (late.status_code, late.json()["type"]) == (412, "urn:notchbook:problem:stale")
    assert Animal.objects.get(pk=cow).breed == "HE"


def test_a_change_without_a_state_is_refused(phone, cow):
    answer = phone.patch(f"animals/{cow}/", {"breed": "HE"})
    assert (answer.status_code, answer.json()["type"]) == (428, "urn:notchbook:problem:precondition-required")


def test_what_the_record_refuses_is_told_with_its_field(phone, cow):
    answer = phone.patch(f"animals/{cow}/", {"born_on": "2099-01-01"}, If_Match="*")
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"
    assert answer.json()["errors"][0]["pointer"] == "/born_on"


def test_an_unknown_member_is_named(phone, cow):
    answer = phone.patch(f"animals/{cow}/", {"wool": 3}, If_Match="*")
    assert answer.status_code == 400
    assert answer.json()["errors"] == [{"pointer": "/wool", "detail": "There is no such member here."}]


def test_a_reading_device_changes_nothing(reader, cow):
    answer = reader.patch(f"animals/{cow}/", {"breed": "HE"}, If_Match="*")
    assert (answer.status_code, answer.json()["type"]) == (403, "urn:notchbook:problem:forbidden")


def test_another_outfits_animal_is_not_found(stranger, cow):
    assert stranger.get(f"animals/{cow}/").status_code == 404
    assert stranger.patch(f"animals/{cow}/", {"breed": "HE"}, If_Match="*").status_code == 404
    assert stranger.get("animals/").json()["items"] == []


@pytest.mark.parametrize("path", ["animals/", "events/", "locations/", "memberships/", "changes/", "days/"])
def test_a_list_is_asked_nothing_that_it_does_not_know(office, path):
    answer = office.get(f"{path}?colour=red&limit=10")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (400, "/colour")
    assert office.get(f"{path}?limit=10&fields=id").status_code == 200


def test_one_animal_is_asked_for_members_only(office, kettle_bench):
    cow = register(kettle_bench, vid_tag("1"))
    assert office.get(f"animals/{cow}/?colour=red").status_code == 400
    assert office.get(f"animals/{cow}/?fields=id").json() == {"id": str(cow)}
