"""The links of the document lead where they say: each answer on to the next call, along the work of a ranch."""

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from drf_spectacular.generators import SchemaGenerator

from herd.registry.models import Animal, Event
from tests.api.conftest import CALLER

LINES = "EID,Weight\n840270000000777,580\n"


class Walk:
    """Calls operations by their names and follows the links of the last answer."""

    def __init__(self, phone: Any) -> None:
        document = json.loads(json.dumps(SchemaGenerator().get_schema(public=True), default=str))
        self.token = phone.token
        self.operations = {
            told["operationId"]: (method, path, told)
            for path, methods in document["paths"].items()
            for method, told in methods.items()
        }

    def begin(self, name: str, body: Any = None) -> Any:
        """Call an operation with the example of its body, or another body."""
        told = self.operations[name][2]
        if body is None and "requestBody" in told:
            body = next(iter(told["requestBody"]["content"]["application/json"]["examples"].values()))["value"]
        return self.call(name, {}, body)

    def follow(self, name: str, body: Any = None) -> Any:
        """Go along a link that the last operation names beside its answer; `body` fills in what the link leaves."""
        link = self.told["responses"][str(self.answer.status_code)]["links"][name]
        values = {key.removeprefix("header."): self.told_at(one) for key, one in link.get("parameters", {}).items()}
        return self.call(link["operationId"], values, self.told_at(link.get("requestBody", body)))

    def told_at(self, said: Any) -> Any:
        """The value that an expression of a link stands for."""
        if isinstance(said, dict):
            return {key: self.told_at(value) for key, value in said.items()}
        if isinstance(said, list):
            return [self.told_at(value) for value in said]
        if not isinstance(said, str) or not said.startswith("$"):
            return said
        if said.startswith("$request.path."):
            return self.values[said.removeprefix("$request.path.")]
        if said.startswith("$response.header."):
            return self.answer[said.removeprefix("$response.header.")]
        found = self.answer.json()
        for part in said.removeprefix("$response.body#/").split("/"):
            found = found[int(part)] if isinstance(found, list) else found[part]
        return found

    def call(self, name: str, values: dict[str, Any], body: Any) -> Any:
        """Call an operation; what its address does not take goes behind the question mark or into the headers."""
        method, path, self.told = self.operations[name]
        self.values = values
        where = {one["name"]: one["in"] for one in self.told.get("parameters", ())}
        asked = {key: value for key, value in values.items() if where[key] == "query"}
        headers = {key: value for key, value in values.items() if where[key] == "header"}
        headers["Authorization"] = f"Bearer {self.token}"
        address = path.format(**{key: value for key, value in values.items() if where[key] == "path"})
        is_form = "multipart/form-data" in self.told.get("requestBody", {}).get("content", {})
        more = {} if is_form or body is None else {"content_type": "application/json"}
        sent = asked if body is None else body
        self.answer = getattr(CALLER, method)(address, data=sent, headers=headers, **more)
        assert self.answer.status_code < 300, (name, self.answer.content)
        return self.answer.json() if self.answer.content else None


@pytest.fixture
def walk(office: Any) -> Walk:
    return Walk(office)


def test_an_animal_is_tagged_and_its_tag_comes_off(walk):
    animal = walk.begin("animals_create")
    worn = walk.follow("wearings_create_animal")
    assert worn["animal"] == animal["id"]
    assert walk.follow("wearings_end_create_id")["ended"] == "lost"


def test_facts_are_changed_in_the_state_that_the_answer_names(walk):
    walk.begin("animals_create")
    assert walk.follow("animals_partial_update_id")["breed"] == "AN"


@pytest.mark.parametrize("then", ["events_correct_create_id", "events_void_create_id"])
def test_an_event_is_recorded_and_put_right(walk, then):
    walk.begin("animals_create")
    event = walk.follow("events_create_animal")
    walk.follow(then)
    assert Event.objects.get(pk=event["id"]).is_void


def test_a_cow_calves(walk):
    cow = walk.begin("animals_create")
    born = walk.follow("births_create_dam")
    assert str(Animal.objects.get(pk=born["animals"][0]).dam_id) == cow["id"]


def test_a_group_lies_at_a_location_and_has_its_members(walk):
    walk.begin("locations_create")
    walk.follow("groups_create_location")
    assert walk.follow("groups_members_list_id")["items"] == []
    walk.begin("locations_list")
    assert walk.follow("exchange_locations_retrieve_key")["view"]["totalItems"] == 1


def test_a_day_is_opened_followed_ruled_and_applied(walk, django_capture_on_commit_callbacks):
    file = SimpleUploadedFile("scale.csv", LINES.encode())
    with django_capture_on_commit_callbacks(execute=True):
        day = walk.begin("days_create", {"worked_on": "2026-03-14", "files": [file]})
    walk.begin("days_list")
    assert walk.follow("days_retrieve_id")["state"] == "review"
    walk.begin("days_list")
    [finding] = walk.follow("days_findings_list_day")["items"]
    assert finding["is_open"]
    assert walk.follow("days_findings_rule_create_id") == {"ruled": 1}
    walk.begin("days_list")
    assert len(walk.follow("days_rulings_list_day")["items"]) == 1
    walk.begin("days_list")
    assert walk.follow("days_apply_create_id")["id"] == day["id"]
    walk.begin("changesets_list")
    walk.follow("changesets_undo_create_id")


def test_a_lot_is_bought(walk):
    assert len(walk.begin("lots_create")["animals"]) == 3
