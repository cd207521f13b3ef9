"""The page that says with whom the record is kept in step."""

from collections.abc import Callable
from io import StringIO
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from herd.accounts.models import Person
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole, Receipt, Upstream
from tests.cast import Cast, register


@pytest.fixture
def office(cast: Cast, as_person: Callable[[Person], Client]) -> Client:
    return as_person(cast.ben)


def shown(client: Client) -> str:
    return client.get("/devices/in-step/").content.decode()


def test_an_office_says_that_the_record_is_decided_here_and_who_follows(cast: Cast, office: Client):
    assert "No other installation follows it" in shown(office)
    make_device(
        outfit=cast.kettle_bench, name="Ranch laptop", kind=DeviceKind.SIBLING, role=DeviceRole.OFFICE, by=None
    )
    assert "Ranch laptop" in shown(office)


def test_a_follower_says_what_is_unsent_and_what_came_back(cast: Cast, office: Client):
    now = timezone.now()
    upstream = Upstream.objects.create(
        outfit=cast.kettle_bench, url="https://office.example", token="t", device_id=uuid4(), name="Ranch laptop",
        epoch=uuid4(), problem="The server can't be reached.", tried_at=now,
    )  # fmt: skip
    register(cast.kettle_bench)
    page = shown(office)
    assert "The other installation was not reached." in page
    assert "manage.py sync --decide-here kettle-bench" in page
    assert 'data-label="Changes unsent" class="num">1<' in page
    Receipt.objects.create(
        outfit=cast.kettle_bench, op_id=uuid4(), epoch=upstream.epoch, status="review", written_at=now,
        answer={"status": "review", "reasons": [{"pointer": "", "detail": "It was changed here meanwhile."}]},
    )  # fmt: skip
    Upstream.objects.update(problem="That token does not hold.", is_refused=True)
    page = shown(office)
    assert "ask the office there for a new code" in page
    assert "It was changed here meanwhile." in page
    said = StringIO()
    call_command("sync", decide_here="kettle-bench", stdout=said)
    assert "Kettle Bench is decided here from now on." in said.getvalue()
    assert "No other installation follows it" in shown(office)
