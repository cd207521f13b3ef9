"""Tags over the API: put on, lost and replaced in one step, and the animal found by any number."""

import pytest

from tests.cast import eid_tag, register, vid_tag

OLD, NEW = "840270000000123", "840270000000124"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag(OLD), vid_tag("112"))


def test_a_lost_tag_is_replaced_in_one_step(office, cow):
    worn = office.get(f"wearings/?number={OLD}").json()["items"][0]["id"]
    answer = office.post(f"wearings/{worn}/end/", {"ended": "lost", "on": "2026-03-14", "new_number": NEW})
    assert answer.status_code == 200
    assert answer.json()["ended"] == "lost"
    assert [one["number"] for one in office.get(f"animals/{cow}/").json()["tags"]] == [NEW, "112"]
    last = office.get("changesets/").json()["items"][-1]
    assert last["title"] == f"Replaced {OLD} by {NEW}"


def test_a_tag_on_another_animal_is_refused(phone, cow, kettle_bench):
    other = register(kettle_bench, vid_tag("113"))
    sent = {"animal": str(other), "kind": "eid", "number": OLD, "on": "2026-03-14"}
    answer = phone.post("wearings/", sent)
    assert (answer.status_code, answer.json()["type"]) == (422, "urn:notchbook:problem:refused")


def test_a_number_that_is_no_eid_is_told_in_its_place(phone, cow):
    answer = phone.post("wearings/", {"animal": str(cow), "kind": "eid", "number": "84027O", "on": "2026-03-14"})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/number")


@pytest.mark.parametrize(
    ("asked", "how"),
    [(OLD, "worn"), ("840 270 000 000 123", "worn"), ("112", "worn"), ("0000123", "last_digits")],
)
def test_an_animal_is_found_by_any_number(phone, cow, asked, how):
    hits = phone.get(f"lookup/?number={asked}").json()
    assert [(hit["how"], hit["animal"]["id"]) for hit in hits] == [(how, str(cow))]


def test_a_number_worn_before_still_finds_the_animal(office, cow):
    worn = office.get(f"wearings/?number={OLD}").json()["items"][0]["id"]
    office.post(f"wearings/{worn}/end/", {"ended": "lost", "on": "2026-03-14", "new_number": NEW})
    assert [hit["how"] for hit in office.get(f"lookup/?number={OLD}").json()] == ["worn_before"]


def test_a_look_up_takes_few_queries(phone, cow, django_assert_max_num_queries):
    with django_assert_max_num_queries(8):
        phone.get(f"lookup/?number={OLD}")


def test_nothing_of_another_outfit_is_found(stranger, cow):
    assert stranger.get(f"lookup/?number={OLD}").json() == []
    assert stranger.get(f"wearings/?number={OLD}").json()["items"] == []


def test_a_look_up_without_a_number_says_so(phone):
    assert phone.get("lookup/").status_code == 400
