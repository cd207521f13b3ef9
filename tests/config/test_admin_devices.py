"""Devices in the admin: the outfit's own, to look at, and nothing of what they sign with."""

from herd.sync.devices import enrol, make_device
from herd.sync.models import Device, DeviceKind, DeviceRole
from tests.config.admincast import address


def device_of(outfit, name):
    made, code = make_device(outfit=outfit, name=name, kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None)
    enrol(code)
    return Device.objects.get(pk=made.pk)


def test_devices_are_listed_for_their_own_outfit_only(cast, ben_in):
    device_of(cast.kettle_bench, "Cal's phone")
    device_of(cast.far_rim, "Eve's phone")
    page = ben_in.get(address(Device, "changelist")).content.decode()
    assert "Cal&#x27;s phone" in page
    assert "Eve&#x27;s" not in page


def test_a_device_is_shown_without_its_token(cast, ben_in):
    phone = device_of(cast.kettle_bench, "Cal's phone")
    page = ben_in.get(address(Device, "change", phone.pk))
    assert page.status_code == 200
    assert phone.token_hash not in page.content.decode()


def test_devices_are_neither_added_nor_changed_here(cast, ben_in):
    phone = device_of(cast.kettle_bench, "Cal's phone")
    assert ben_in.get(address(Device, "add")).status_code == 403
    assert ben_in.post(address(Device, "change", phone.pk), {"name": "Mine"}).status_code == 403
    assert Device.objects.get().name == "Cal's phone"
