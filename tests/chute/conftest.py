"""Kettle Bench's cows in the Upper Bench, and phones at its chute: real pages over real sockets."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.cache import cache
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext

from herd.registry.models import Product
from herd.registry.services import events, groups, lists
from herd.registry.services.batch import NewEvent
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole
from herd.values.mass import NANOGRAMS, WeightUnit
from tests.cast import eid_tag, entry, register, vid_tag
from tests.chute.phone import Phone

HEAD = 8
FIRST = 840270000000400


def eid(number: int) -> str:
    """The EID of cow so-and-so."""
    return str(FIRST + number)


@pytest.fixture
def bench(kettle_bench):
    """The group that is worked: the Upper Bench."""
    return groups.open_group(entry=entry(kettle_bench), name="Upper Bench")


@pytest.fixture
def trap(kettle_bench):
    return groups.open_group(entry=entry(kettle_bench), name="Mill Trap")


@pytest.fixture
def cows(kettle_bench, bench) -> list[Any]:
    """Cows 1 to 8, weighed a year ago at 1,100 lb and some."""
    made = [
        register(kettle_bench, eid_tag(eid(number)), vid_tag(str(number)), group_id=bench, born_on=date(2020, 3, 1))
        for number in range(1, HEAD + 1)
    ]
    day = timezone.now().date() - timedelta(days=365)
    weights = [weighed(one, 1100 + place, day) for place, one in enumerate(made)]
    events.record(entry=entry(kettle_bench), events=weights)
    return made


def weighed(animal: Any, pounds: int, day: date) -> NewEvent:
    """A weight in pounds."""
    data = {"weight": str(pounds), "unit": "lb"}
    return NewEvent(animal, "weight", day, data, weight_ng=pounds * NANOGRAMS[WeightUnit.LB])


@pytest.fixture
def product(kettle_bench) -> Product:
    """A medicine of the list, with 28 days by its label."""
    label = {"ingredient": "invented", "meat_withdrawal_days": 28, "dose": "1 ml per 22 lb", "route": "topical"}
    facts = {"name": "Pour-on", **label}
    key = lists.add(entry=entry(kettle_bench), subject="product", facts=facts)
    return Product.objects.get(pk=key)


@pytest.fixture
def code_of(kettle_bench) -> Callable[..., str]:
    """A one-time code of a new device."""

    def make(name: str = "Phone", **more: Any) -> str:
        named = {"outfit": kettle_bench, "kind": DeviceKind.PHONE, "role": DeviceRole.CAPTURE, "by": None, **more}
        return make_device(name=name, **named)[1]

    return make


@pytest.fixture
def opened(browser: Browser, live_server: Any) -> Iterator[Callable[..., BrowserContext]]:
    """A way to open a phone's browser, with its own storage; all are closed at the end."""
    cache.clear()
    contexts: list[BrowserContext] = []

    def make(**settings: Any) -> BrowserContext:
        size = {"viewport": {"width": 390, "height": 844}}
        contexts.append(browser.new_context(base_url=live_server.url, **{**size, **settings}))
        contexts[-1].set_default_timeout(30_000)
        contexts[-1].set_default_navigation_timeout(120_000)
        return contexts[-1]

    yield make
    for context in contexts:
        context.close()


@pytest.fixture
def phone(opened, code_of, cows, bench) -> Phone:
    """A phone with the herd on it, weighing the Upper Bench."""
    made = Phone(opened().new_page())
    made.enrol(code_of())
    made.choose("Upper Bench")
    return made
