"""Groups, moves, head counts and changesets over the API."""

import pytest

from herd.registry.services import groups
from tests.cast import entry, register, vid_tag


@pytest.fixture
def bench(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Upper Bench")


def test_a_group_is_opened_and_animals_move_in(office, kettle_bench):
    group = office.post("groups/", {"name": "Mill Trap", "kind": "pasture"}).json()["id"]
    cow = register(kettle_bench, vid_tag("1"))
    moved = office.post("groups/move/", {"animals": [str(cow)], "group": group, "on": "2026-03-14"})
    assert moved.json() == {"animals": 1}
    assert [one["id"] for one in office.get(f"groups/{group}/members/").json()["items"]] == [str(cow)]
    assert office.get(f"groups/{group}/members/?on=2026-03-13").json()["items"] == []


def test_a_group_needs_a_name_of_its_own(office, bench):
    answer = office.post("groups/", {"name": "Upper Bench"})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/name")


def test_animals_move_all_or_none(office, kettle_bench, bench, far_rim):
    mine, foreign = register(kettle_bench, vid_tag("1")), register(far_rim, vid_tag("1"))
    sent = {"animals": [str(mine), str(foreign)], "group": str(bench), "on": "2026-03-14"}
    assert office.post("groups/move/", sent).status_code == 422
    assert office.get(f"groups/{bench}/members/").json()["items"] == []


def test_head_is_counted_by_class_and_group(phone, kettle_bench, bench):
    register(kettle_bench, vid_tag("1"), group_id=bench)
    register(kettle_bench, vid_tag("2"), animal_class="bull")
    count = phone.get("head/").json()
    assert (count["total"], count["by_class"]) == (2, {"cow": 1, "bull": 1})
    assert {one["name"]: one["total"] for one in count["groups"]} == {"Upper Bench": 1, None: 1}


def test_a_day_that_is_none_is_told_so(phone):
    assert phone.get("head/?on=yesterday").json()["errors"][0]["pointer"] == "/on"


def test_a_changeset_is_taken_back_once(office, kettle_bench):
    register(kettle_bench, vid_tag("1"))
    last = office.get("changesets/").json()["items"][-1]["id"]
    assert office.post(f"changesets/{last}/undo/", {}).json()["is_undone"] is True
    again = office.post(f"changesets/{last}/undo/", {})
    assert (again.status_code, again.json()["type"]) == (409, "urn:notchbook:problem:conflict")


def test_each_field_written_is_told_with_before_and_after(office, kettle_bench):
    cow = register(kettle_bench, vid_tag("1"), breed="AN")
    office.patch(f"animals/{cow}/", {"breed": "HE", "reason": "papers"}, If_Match="*")
    last = office.get(f"changes/?subject_id={cow}").json()["items"][-1]
    assert (last["before"], last["after"], last["reason"]) == ({"breed": "AN"}, {"breed": "HE"}, "papers")
