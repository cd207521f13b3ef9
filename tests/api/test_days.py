"""A processing day over the API: files sent in, findings ruled, the day applied and taken back."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

from herd.registry.models import Event
from tests.cast import eid_tag, register

EID, UNKNOWN = "840270000000123", "840270000555999"


@pytest.fixture
def cow(kettle_bench):
    return register(kettle_bench, eid_tag(EID))


def send(phone, path, *files, key=None, **fields):
    """Send field files as a form, under a key where one is given."""
    uploads = [SimpleUploadedFile(name, text.encode(), "text/csv") for name, text in files]
    body = encode_multipart(BOUNDARY, {**fields, "files": uploads})
    headers = {"Authorization": f"Bearer {phone.token}", **({"Idempotency-Key": key} if key else {})}
    return Client().generic("POST", f"/api/v1/{path}", body, content_type=MULTIPART_CONTENT, headers=headers)


def scale(*lines):
    return ("scale.csv", "\n".join(["EID,Weight", *lines]))


def test_a_file_is_sent_ruled_applied_and_taken_back(office, cow):
    sent = send(office, "days/", scale(f"{EID},1180", f"{UNKNOWN},1200"), worked_on="2026-03-14")
    assert sent.status_code == 202
    day = sent.json()["id"]
    assert office.get(f"days/{day}/").json()["state"] == "review"

    [unknown] = office.get(f"days/{day}/findings/?is_open=true").json()["items"]
    assert unknown["kind"] == "unknown_tag"
    aside = next(one["choice"] for one in unknown["choices"] if one["choice"] == "set_aside")
    assert office.post(f"days/{day}/findings/{unknown['id']}/rule/", {"choice": aside}).json() == {"ruled": 1}

    assert office.post(f"days/{day}/apply/", {}).status_code == 202
    totals = office.get(f"days/{day}/report/").json()["totals"]
    assert (totals["lines"], totals["applied"], totals["set_aside"]) == (2, 1, 1)
    assert Event.objects.filter(animal=cow, is_void=False).count() == 1

    assert office.post(f"days/{day}/undo/", {}).json()["state"] == "review"
    assert Event.objects.filter(animal=cow, is_void=False).count() == 0


def test_the_last_ruling_can_be_taken_back(office, cow):
    day = send(office, "days/", scale(f"{UNKNOWN},1200"), worked_on="2026-03-14").json()["id"]
    assert office.post(f"days/{day}/rulings/take-back/", {}).status_code == 409
    [unknown] = office.get(f"days/{day}/findings/").json()["items"]
    office.post(f"days/{day}/findings/{unknown['id']}/rule/", {"choice": unknown["choices"][0]["choice"]})
    assert office.post(f"days/{day}/rulings/take-back/", {}).status_code == 204
    assert len(office.get(f"days/{day}/findings/?is_open=true").json()["items"]) == 1


def test_the_same_bytes_are_not_taken_twice(office, cow):
    day = send(office, "days/", scale(f"{EID},1180"), worked_on="2026-03-14").json()["id"]
    again = send(office, f"days/{day}/files/add/", scale(f"{EID},1180"))
    assert (again.status_code, again.json()["type"]) == (422, "urn:notchbook:problem:refused")


def test_a_line_that_can_not_be_used_stays_visible_with_its_reason(office, cow):
    day = send(office, "days/", scale(f"{EID},heavy"), worked_on="2026-03-14").json()["id"]
    [row] = office.get(f"days/{day}/rows/").json()["items"]
    assert row["line"] == 2
    assert row["cells"] == [EID, "heavy"]
    assert "heavy" in row["problems"][0]["reason"]


def test_a_phone_may_send_files_but_not_apply(phone, cow):
    day = send(phone, "days/", scale(f"{EID},1180"), worked_on="2026-03-14").json()["id"]
    assert phone.post(f"days/{day}/apply/", {}).status_code == 403


def test_a_day_without_files_is_told_so(phone):
    answer = phone.post("days/", {"worked_on": "2026-03-14"})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (400, "/files")


def test_another_outfits_day_is_not_found(office, stranger, cow):
    day = send(office, "days/", scale(f"{EID},1180"), worked_on="2026-03-14").json()["id"]
    for path in ("", "report/", "files/", "rows/", "findings/", "rulings/"):
        assert stranger.get(f"days/{day}/{path}").status_code == 404, path


def test_an_empty_file_is_told_by_its_name(office):
    answer = send(office, "days/", ("scale.csv", ""), worked_on="2026-03-14")
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/files")
    assert office.get("days/").json()["items"] == []
