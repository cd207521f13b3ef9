"""A scale PC of Kettle Bench, enrolled over a link that can be spoilt, with a cow it knows."""

from collections.abc import Callable, Iterator
from typing import Any
from uuid import uuid4

import pytest
from django.core.signals import request_finished, request_started
from django.db import close_old_connections

from herd.client import Client
from herd.registry.services import groups
from herd.sync.again import try_again
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.api.conftest import no_calls_counted
from tests.cast import eid_tag, entry, register, vid_tag
from tests.client.linking import URL, Link, around

__all__ = ["no_calls_counted"]

EID = "840270000000123"


@pytest.fixture
def link() -> Iterator[Link]:
    """The link; the test's own transaction lives through its calls, as it does for Django's test client."""
    moments = (request_started, request_finished)
    for moment in moments:
        moment.disconnect(close_old_connections)
    yield Link()
    for moment in moments:
        moment.connect(close_old_connections)


@pytest.fixture
def code_of(kettle_bench) -> Callable[..., str]:
    """A one-time code of a new device."""

    def make(outfit: Any = None, role: DeviceRole = DeviceRole.CAPTURE, **more: Any) -> str:
        named = {"outfit": outfit or kettle_bench, "name": str(uuid4()), "kind": DeviceKind.SCALE}
        return make_device(**named, role=role, by=None, **more)[1]

    return make


@pytest.fixture
def naps() -> list[float]:
    return []


@pytest.fixture
def scale(tmp_path, link, code_of, naps) -> Client:
    """The scale PC, enrolled, without a copy of the herd yet."""
    return Client.enrol(URL, code_of(), tmp_path / "scale.db", around(link, naps))


@pytest.fixture
def bench(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Upper Bench")


@pytest.fixture
def cow(kettle_bench, bench):
    return register(kettle_bench, eid_tag(EID), vid_tag("112"), group_id=bench, breed="AN")


@pytest.fixture
def phone_of_office(kettle_bench) -> Callable[[str], None]:
    """The office registers an animal with an EID, and another device calls, whereupon held work is taken up."""

    def make(number: str) -> None:
        register(kettle_bench, eid_tag(number), on=None)
        try_again(kettle_bench)

    return make
