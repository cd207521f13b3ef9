"""Who may call: devices by token, people by session, nobody else, and nobody after a stop."""

import pytest
from django.test import Client

from herd.registry.services import groups
from herd.sync.devices import CODE_MINUTES, DeviceError, change_state, enrol, make_device, renew_code
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from tests.cast import PASSWORD, entry, register, vid_tag


def test_nobody_is_told_to_sign_in():
    answer = Client().get("/api/v1/animals/")
    assert (answer.status_code, answer.json()["type"]) == (401, "urn:notchbook:problem:unauthenticated")
    assert answer["Content-Type"] == "application/problem+json"
    assert answer["WWW-Authenticate"].startswith("Bearer")


def test_a_made_up_token_does_not_hold(db):
    answer = Client().get("/api/v1/animals/", headers={"Authorization": "Bearer made-up"})
    assert answer.status_code == 401


def test_the_database_has_neither_code_nor_token(phone, kettle_bench):
    device, code = make_device(
        outfit=kettle_bench, name="Scale", kind=DeviceKind.SCALE, role=DeviceRole.CAPTURE, by=None
    )
    kept = {str(value) for row in Device.objects.values() for value in row.values()}
    assert not {code, code.replace("-", ""), phone.token} & kept
    assert device.state == DeviceState.WAITING


def test_a_code_is_spent_by_one_use(kettle_bench):
    _, code = make_device(outfit=kettle_bench, name="P", kind=DeviceKind.PHONE, role=DeviceRole.READ, by=None)
    assert enrol(code.lower().replace("-", " ")).token
    with pytest.raises(DeviceError):
        enrol(code)


def test_a_code_ends_after_ten_minutes(kettle_bench):
    device, code = make_device(outfit=kettle_bench, name="P", kind=DeviceKind.PHONE, role=DeviceRole.READ, by=None)
    minutes = (device.code_until - device.made_at).total_seconds() / 60
    assert round(minutes) == CODE_MINUTES == 10
    Device.objects.update(code_until=device.made_at)
    with pytest.raises(DeviceError):
        enrol(code)


def test_a_new_enrolment_ends_the_old_token(phone):
    token = phone.token
    enrol(renew_code(phone.device))
    assert Client().get("/api/v1/animals/", headers={"Authorization": f"Bearer {token}"}).status_code == 401


def test_a_blocked_device_is_out_at_once(phone):
    assert phone.get("animals/").status_code == 200
    change_state(phone.device, DeviceState.BLOCKED)
    assert phone.get("animals/").status_code == 401


def test_a_phone_reads_only_its_groups(kettle_bench, phone_of):
    upper = groups.open_group(entry=entry(kettle_bench), name="Upper Bench")
    inside = register(kettle_bench, vid_tag("1"), group_id=upper)
    outside = register(kettle_bench, vid_tag("2"))
    phone = phone_of(kettle_bench, groups=[upper])
    assert [one["id"] for one in phone.get("animals/").json()["items"]] == [str(inside)]
    assert phone.get(f"animals/{outside}/").status_code == 404


def test_someone_signed_in_to_the_office_reads(cast):
    browser = Client()
    browser.login(username="dot", password=PASSWORD)
    assert browser.get("/api/v1/animals/").status_code == 200


def test_a_session_writes_only_with_its_csrf_token(cast):
    cow = register(cast.kettle_bench, vid_tag("1"))
    browser = Client(enforce_csrf_checks=True)
    browser.login(username="ada", password=PASSWORD)
    answer = browser.patch(
        f"/api/v1/animals/{cow}/", {"breed": "AN"}, content_type="application/json", headers={"If-Match": "*"}
    )
    assert answer.status_code == 403
