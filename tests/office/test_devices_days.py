"""What devices sent is told by device, beside the processing days that people opened."""

import pytest
from django.test import Client
from django.urls import reverse

from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole
from herd.sync.protocol import Push
from herd.sync.pushing import push
from tests.cast import PASSWORD
from tests.intake.field import csv_file, work
from tests.sync.sending import AT, weighing


@pytest.fixture
def browser(cast):
    client = Client()
    client.login(username="ben", password=PASSWORD)
    return client


@pytest.fixture
def phone(cast):
    named = {"name": "Cal’s phone", "kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE}
    return enrol(make_device(outfit=cast.kettle_bench, by=None, **named)[1]).device


def strays(phone, *days):
    for day in days:
        at = AT.replace(day=day).isoformat()
        push(phone, Push([weighing({"eid": f"8402700000005{day:02}"}) | {"at": at}]))


def days_page(browser):
    return browser.get(reverse("office:days")).content.decode()


def test_a_devices_days_are_one_line_however_many_they_are(browser, phone):
    strays(phone, 3, 4, 5)
    page = days_page(browser)
    assert "3 findings from Cal’s phone" in page
    assert "on 3 days" in page
    assert "for review" not in page


def test_days_that_people_opened_stay_in_the_list(browser, phone, cast):
    work(cast.kettle_bench, [csv_file("scale.csv", ["EID,Weight", "840270000000123,1180"])], name="Weaning")
    strays(phone, 3)
    assert "Weaning" in days_page(browser)


def test_where_nothing_waits_no_device_is_named(browser, phone):
    assert "Sent by devices" not in days_page(browser)


def test_another_outfits_devices_are_not_named(browser, cast):
    named = {"name": "Eve’s phone", "kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE}
    strays(enrol(make_device(outfit=cast.far_rim, by=None, **named)[1]).device, 3)
    assert "Eve" not in days_page(browser)


def test_the_devices_page_lists_its_days(browser, phone):
    strays(phone, 3, 4)
    page = browser.get(reverse("office:device", args=[phone.pk])).content.decode()
    assert page.count("1 finding open") == 2
