"""The office takes in what a device has saved as a file: each entry once, and no file that is none."""

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from herd.registry.models import Event
from herd.sync.devices import change_state, enrol, make_device
from herd.sync.models import Device, DeviceKind, DeviceRole, DeviceState
from tests.cast import eid_tag, register
from tests.sync.sending import weighing

EID = "840270000000401"


@pytest.fixture
def device(kettle_bench) -> Device:
    _, code = make_device(
        outfit=kettle_bench, name="Phone", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None
    )
    return enrol(code).device


@pytest.fixture
def office(cast) -> Client:
    browser = Client()
    browser.force_login(cast.ben)
    return browser


def hand_in(office: Client, device: Device, content: bytes) -> str:
    """Hand in a file on the device's page; what the page says then."""
    file = SimpleUploadedFile("unsent.json", content, "application/json")
    page = office.post(reverse("office:device-unsent", args=[device.pk]), {"saved": file}, follow=True)
    assert page.status_code == 200
    return page.content.decode()


def saved(device: Device, *operations: Any) -> bytes:
    return json.dumps({"schema": 1, "device": str(device.pk), "ops": list(operations)}).encode()


def test_each_entry_is_taken_once(office, device, kettle_bench):
    register(kettle_bench, eid_tag(EID))
    some = [weighing({"eid": EID}), weighing({"eid": "840270000000999"}, minute=1), {"op_id": "x"}]
    said = hand_in(office, device, saved(device, *some))
    assert "The file held 3 entries: 1 in the record, 1 waiting, 1 kept aside." in said
    assert "The file held 3 entries: 1 in the record" in hand_in(office, device, saved(device, *some))
    assert Event.objects.filter(kind="weight").count() == 1


@pytest.mark.parametrize("content", [b"", b"EID\n840", b"[]", b'{"ops": 3}', b"\xff\xfe", b"[" * 100_000])
def test_what_is_no_such_file_is_told(office, device, content):
    said = hand_in(office, device, content)
    assert "is no file that a device has saved" in said or "Choose the file" in said


def test_a_file_of_another_device_and_one_of_a_blocked_device(office, device, kettle_bench):
    other = Device(pk=device.outfit.pk)
    assert "saved by another device" in hand_in(office, device, saved(other))
    change_state(device, DeviceState.BLOCKED)
    assert "let it work again first" in hand_in(office, device, saved(device, weighing({"eid": EID})))
    assert Event.objects.count() == 0
