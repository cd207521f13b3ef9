"""Callers of the API: Kettle Bench's devices by right, and one of Far Rim."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from herd.accounts.models import Outfit
from herd.sync.devices import enrol, make_device
from herd.sync.models import Device, DeviceKind, DeviceRole

# One client for all calls: devices sign each call with their token and keep no cookies.
CALLER = Client()


@dataclass(frozen=True, slots=True)
class Phone:
    """A device with its token, and short ways to call."""

    device: Device
    token: str

    def call(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        """Call an address below /api/v1/ and return the answer; headers are named as HTTP names them."""
        content = {"data": json.dumps(body), "content_type": "application/json"} if body is not None else {}
        sent = {"Authorization": f"Bearer {self.token}", **{k.replace("_", "-"): v for k, v in headers.items()}}
        return CALLER.generic(method, f"/api/v1/{path}", headers=sent, **content)

    def get(self, path: str, **headers: str) -> Any:
        return self.call("GET", path, **headers)

    def post(self, path: str, body: Any, **headers: str) -> Any:
        return self.call("POST", path, body, **headers)

    def patch(self, path: str, body: Any, **headers: str) -> Any:
        return self.call("PATCH", path, body, **headers)


@pytest.fixture(autouse=True)
def no_calls_counted() -> None:
    cache.clear()


@pytest.fixture
def phone_of() -> Callable[..., Phone]:
    """Enrol a device of an outfit with a role."""

    def make(outfit: Outfit, role: DeviceRole = DeviceRole.CAPTURE, **more: Any) -> Phone:
        name = f"{role} phone {Device.objects.count()}"
        _, code = make_device(outfit=outfit, name=name, kind=DeviceKind.PHONE, role=role, by=None, **more)
        enrolled = enrol(code)
        return Phone(enrolled.device, enrolled.token)

    return make


@pytest.fixture
def phone(kettle_bench: Outfit, phone_of: Callable[..., Phone]) -> Phone:
    """A phone of Kettle Bench that may capture."""
    return phone_of(kettle_bench)


@pytest.fixture
def reader(kettle_bench: Outfit, phone_of: Callable[..., Phone]) -> Phone:
    return phone_of(kettle_bench, DeviceRole.READ)


@pytest.fixture
def office(kettle_bench: Outfit, phone_of: Callable[..., Phone]) -> Phone:
    return phone_of(kettle_bench, DeviceRole.OFFICE)


@pytest.fixture
def stranger(far_rim: Outfit, phone_of: Callable[..., Phone]) -> Phone:
    """A device of Far Rim that may do all there."""
    return phone_of(far_rim, DeviceRole.OFFICE)
