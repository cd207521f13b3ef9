"""The OpenAPI document says what the API does: each answer has the shape that it names, each view is in it."""

import json
from typing import Any

import pytest
from django.test import Client
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.validation import validate_schema
from jsonschema import Draft202012Validator

from herd.registry.services import events, groups
from herd.registry.services.batch import NewEvent
from herd.sync.cursors import head_of, write_cursor
from tests.cast import eid_tag, entry, register, vid_tag
from tests.intake.field import csv_file, work

EID = "840270000000123"
AT_OUTFIT = {"{scheme}": "urn:notchbook:outfit", "{key}": "kettle-bench", "{plural}": "animals"}
# Other installations alone call these; their own tests do. Files and lines of JSON have no shape to be held against.
NOT_FOR_PHONES = (
    *("sync/copy/", "sync/pull/", "sync/relay/", "sync/days/", "sync/days/{key}/", "sync/rulings/", "sync/kept/"),
    "herd/export/",
)  # fmt: skip
# What a call has to ask for at least.
ASKED = {
    "lookup/": f"?number={EID}",
    "reports/journey/": "?group={group}",
    "reports/gain/": "?group={group}",
    "reports/vaccines/": "?group={group}",
    "reports/kin/": "?bulls={group}&females={group}",
    "reports/breeding/": "?bulls_in=2025-05-01&bulls_out=2025-07-01",
}


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    """The document as it is served, as plain JSON."""
    return json.loads(json.dumps(SchemaGenerator().get_schema(public=True), default=str))


@pytest.fixture
def herd(kettle_bench):
    """A cow with a calf in a group, an event, and a day with a file; ids by the names that addresses use."""
    place = groups.open_location(entry=entry(kettle_bench), name="Home")
    bench = groups.open_group(entry=entry(kettle_bench), name="Upper Bench", location_id=place)
    cow = register(kettle_bench, eid_tag(EID), vid_tag("112"), group_id=bench)
    note = NewEvent(cow, "note", None, {"note": "quiet"}, precision="unknown")
    events.record(entry=entry(kettle_bench), events=[note])
    lines = ["EID,Weight", f"{EID},1180", "840270000000999,1200"]
    day = work(kettle_bench, [csv_file("scale.csv", lines)])
    return {"animal": cow, "event": note.id, "group": bench, "location": place, "day": day.pk}


def shape_of(document: dict[str, Any], path: str) -> dict[str, Any]:
    """The schema of what a GET of a path answers, with the components that it points at."""
    content = document["paths"][path]["get"]["responses"]["200"]["content"]
    schema = content["application/json"]["schema"]
    # Where `fields` may leave members out the whole shape stands first, and that is what is asked for here.
    return {**schema.get("anyOf", [schema])[0], "components": document["components"]}


def test_the_document_is_valid(document):
    validate_schema(document)


def test_the_document_is_served_to_anyone(db):
    served = Client().get("/api/v1/openapi.json")
    assert served.status_code == 200
    assert served.json()["openapi"].startswith("3.1")


def test_every_answer_has_the_shape_that_the_document_names(document, office, herd):
    checked = 0
    for path, methods in document["paths"].items():
        if "get" not in methods or path.endswith(("openapi.json", "snapshot/", *NOT_FOR_PHONES)):
            continue
        address = path.removeprefix("/api/v1/").replace("{day}", str(herd["day"]))
        if "{id}" in address:
            listing = office.get(address.split("{id}")[0])
            items = listing.json()["items"]
            if not items:
                continue
            address = address.replace("{id}", items[0]["id"])
        for name, value in AT_OUTFIT.items():
            address = address.replace(name, value)
        address += ASKED.get(path.removeprefix("/api/v1/"), "").format(**herd)
        if path.endswith("/changes/") and "sync" in path:
            address += f"?cursor={write_cursor(head_of(office.device.outfit), 0, '')}"
        answer = office.get(address)
        assert answer.status_code == 200, (path, answer.content)
        found = [error.message for error in Draft202012Validator(shape_of(document, path)).iter_errors(answer.json())]
        assert found == [], path
        checked += 1
    assert checked > 20


def test_every_view_names_the_problems_that_it_may_answer(document):
    for path, methods in document["paths"].items():
        for method, told in methods.items():
            problem = told["responses"]["default"]["content"]["application/problem+json"]["schema"]
            assert problem == {"$ref": "#/components/schemas/Problem"}, (path, method)


def test_the_document_says_that_spaces_alone_are_nothing(document, office):
    asked = document["paths"]["/api/v1/sync/snapshot/"]["get"]["parameters"]
    cursor = Draft202012Validator(next(one["schema"] for one in asked if one["name"] == "cursor"))
    assert (cursor.is_valid("x"), cursor.is_valid("\t"), cursor.is_valid("\x1c")) == (True, False, False)
    assert office.get("sync/snapshot/?cursor=%09").status_code == 400
