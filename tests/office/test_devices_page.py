"""The office enrols devices by a code shown once, sees what they sent, and stops one at once."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from herd.registry.services import groups
from herd.sync.devices import enrol
from herd.sync.models import Device, DeviceState
from tests.cast import PASSWORD, entry


@pytest.fixture
def browser(cast):
    client = Client()
    client.login(username="ben", password=PASSWORD)
    return client


def make(browser, **more):
    return browser.post(
        reverse("office:device-new"), {"name": "Cal's phone", "kind": "phone", "role": "capture", **more}
    )


def test_a_code_is_shown_once_with_its_picture(browser):
    page = make(browser)
    code = re.search(r"[A-Z0-9]{5}-[A-Z0-9]{5}", page.content.decode()).group()
    assert "data:image/svg+xml" in page.content.decode()
    assert page["Cache-Control"].startswith("max-age=0")
    assert enrol(code).device == Device.objects.get()
    assert code not in browser.get(reverse("office:device", args=[Device.objects.get().pk])).content.decode()


def test_two_devices_do_not_share_a_name(browser):
    make(browser)
    assert "already" in make(browser).content.decode()
    assert Device.objects.count() == 1


def test_another_outfits_group_can_not_be_read(browser, cast):
    foreign = groups.open_group(entry=entry(cast.far_rim), name="Far")
    make(browser, groups=[str(foreign)])
    assert not Device.objects.exists()


def test_a_lost_phone_is_blocked_and_its_token_ends(browser):
    code = re.search(r"[A-Z0-9]{5}-[A-Z0-9]{5}", make(browser).content.decode()).group()
    enrolled = enrol(code)
    headers = {"Authorization": f"Bearer {enrolled.token}"}
    assert Client().get("/api/v1/me/", headers=headers).status_code == 200
    browser.post(reverse("office:device-change", args=[enrolled.device.pk, "block"]))
    assert Client().get("/api/v1/me/", headers=headers).status_code == 401
    browser.post(reverse("office:device-change", args=[enrolled.device.pk, "again"]))
    assert Device.objects.get().state == DeviceState.ACTIVE


def test_what_was_kept_aside_is_seen_with_its_reason(browser):
    code = re.search(r"[A-Z0-9]{5}-[A-Z0-9]{5}", make(browser).content.decode()).group()
    enrolled = enrol(code)
    headers = {"Authorization": f"Bearer {enrolled.token}"}
    Client().post("/api/v1/sync/push/", {"ops": [{"kind": "dance"}]}, content_type="application/json", headers=headers)
    page = browser.get(reverse("office:device", args=[enrolled.device.pk])).content.decode()
    assert "An id is a UUID" in page
    listing = browser.get(reverse("office:devices")).content.decode()
    assert "Cal&#x27;s phone" in listing


def test_another_outfits_device_is_not_found(browser, cast):
    make(browser)
    stranger = Client()
    stranger.login(username="eve", password=PASSWORD)
    address = reverse("office:device", args=[Device.objects.get().pk])
    assert stranger.get(address).status_code == 404
    assert stranger.post(f"{address}block/").status_code == 404
    assert Device.objects.get().state == DeviceState.WAITING


@pytest.mark.parametrize("name", ["cal", "dot"])
def test_crew_and_readers_have_no_business_with_devices(cast, name):
    client = Client()
    client.login(username=name, password=PASSWORD)
    assert client.get(reverse("office:devices")).status_code == 403
