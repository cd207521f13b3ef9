"""A device enrols with its one-time code, and is told who it is."""

from django.core.cache import cache
from django.test import Client

from api.throttles import PerCaller
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole


def enrol(code):
    return Client().post("/api/v1/enrol/", {"code": code}, content_type="application/json")


def test_a_code_is_given_for_a_token(kettle_bench):
    device, code = make_device(
        outfit=kettle_bench, name="Cal's phone", kind=DeviceKind.PHONE, role=DeviceRole.CAPTURE, by=None
    )
    answer = enrol(code)
    assert answer.status_code == 201
    token = answer.json()["token"]
    me = Client().get("/api/v1/me/", headers={"Authorization": f"Bearer {token}"}).json()
    assert (me["outfit"], me["device"], me["right"]) == ("kettle-bench", str(device.pk), "capture")


def test_a_wrong_code_is_refused_without_a_hint(db):
    answer = enrol("AAAAA-AAAAA")
    assert (answer.status_code, answer.json()["type"]) == (403, "urn:notchbook:problem:forbidden")


def test_guessing_codes_is_slowed_down(db, monkeypatch):
    # All within one minute, however slow the machine.
    monkeypatch.setattr(PerCaller, "timer", lambda _: 1_700_000_010.0)
    cache.clear()
    answers = [enrol(f"AAAAA-{number:05}").status_code for number in range(25)]
    assert answers[:20] == [403] * 20
    assert answers[20:] == [429] * 5
