"""Every address of the API, without a token, with one that only reads, and with one of another outfit."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import URLResolver, get_resolver, reverse

from herd.accounts.models import Outfit
from herd.exchange.names import OUTFIT
from herd.intake.models import Finding
from herd.registry.models import Product
from herd.registry.services import lists
from herd.sync.devices import enrol, make_device
from herd.sync.models import DeviceKind, DeviceRole
from tests.cast import entry, everyone
from tests.office.test_roles import make_ids

pytestmark = pytest.mark.django_db

# What tells nothing of any outfit, and the one way to a token.
OPEN = {"openapi", "docs", "enrol"}
# Asked by POST because the question is long; and a push, whose operations are refused one by one (tests/sync).
READ_BY_POST = {"sync-known", "sync-push"}
METHODS = ("get", "post", "put", "patch", "delete")


@dataclass(frozen=True, slots=True)
class Call:
    """A method of an address of the API, with the parts that it takes."""

    method: str
    name: str
    parts: tuple[str, ...]


def calls() -> list[Call]:
    (api,) = [one for one in get_resolver().url_patterns if getattr(one, "namespace", "") == "api"]
    return sorted(_walk(api, ()), key=lambda one: (one.name, one.method))


def _walk(resolver: Any, parts: tuple[str, ...]) -> Iterator[Call]:
    for one in resolver.url_patterns:
        taken = (*parts, *one.pattern.regex.groupindex)
        if isinstance(one, URLResolver):
            yield from _walk(one, taken)
        elif one.name:
            view: Any = one.callback
            methods = getattr(view, "actions", None) or [name for name in METHODS if hasattr(view.cls, name)]
            yield from (Call(method, one.name, taken) for method in methods if method in METHODS)


@pytest.fixture(scope="module")
def ranch(django_db_setup: None, django_db_blocker: Any) -> Iterator[dict[str, Any]]:
    """Ids of Kettle Bench, and tokens of a device of its own that reads and of one of Far Rim that may do all."""
    with django_db_blocker.unblock(), transaction.atomic():
        cast = everyone()
        found = make_ids(cast)
        lists.add(entry=entry(cast.kettle_bench), subject="product", facts={"name": "Blackleg bacterin"})
        finding = Finding.objects.create(day_id=found["day_id"], key="k", kind="unknown_tag", alike="a", title="t")
        yield {
            **found,
            "finding_id": finding.pk,
            "product_id": Product.objects.of(cast.kettle_bench).latest("pk").pk,
            "reads": token_of(cast.kettle_bench, DeviceRole.READ),
            "far": token_of(cast.far_rim, DeviceRole.OFFICE),
        }
        transaction.set_rollback(True)


def token_of(outfit: Outfit, role: DeviceRole) -> str:
    return enrol(make_device(outfit=outfit, name="P", kind=DeviceKind.PHONE, role=role, by=None)[1]).token


def address_of(call: Call, ranch: dict[str, Any]) -> str:
    """The address with ids of Kettle Bench; a made-up one for the lines of a day, which has none here."""
    kinds = [word for word in call.name.split("-") if word == "row" or f"{word}_id" in ranch]
    own = {"pk": ranch.get(f"{kinds[-1]}_id", uuid4()) if kinds else "", "day": ranch["day_id"]}
    is_exchange = call.name.startswith("exchange")
    own |= {"scheme": OUTFIT, "plural": "animals", "key": "kettle-bench" if is_exchange else ranch["day_id"]}
    return reverse(f"api:{call.name}", kwargs={part: own[part] for part in call.parts})


def status_of(call: Call, ranch: dict[str, Any], token: str = "") -> int:
    cache.clear()
    headers = {"If-Match": "*", **({"Authorization": f"Bearer {ranch[token]}"} if token else {})}
    with transaction.atomic():
        answer = Client(raise_request_exception=False).generic(
            call.method.upper(), address_of(call, ranch), b"{}", "application/json", headers=headers
        )
        transaction.set_rollback(True)
    return answer.status_code


def test_nobody_gets_anything_without_a_token(ranch):
    assert len(calls()) > 80
    assert [one for one in calls() if one.name not in OPEN and status_of(one, ranch) != 401] == []


def test_a_device_that_reads_writes_nothing(ranch):
    asked = [one for one in calls() if one.method != "get" and one.name not in OPEN | READ_BY_POST]
    assert [(one, status) for one in asked if (status := status_of(one, ranch, "reads")) != 403] == []


def test_a_device_of_another_outfit_finds_nothing_by_our_ids(ranch):
    asked = [one for one in calls() if one.parts]
    seen = {one.name for one in asked if one.method == "get" and status_of(one, ranch, "reads") == 200}
    assert seen >= {"animal-detail", "event-detail", "day-detail", "day-finding-detail", "exchange-collection"}
    assert [(one, status) for one in asked if (status := status_of(one, ranch, "far")) not in {403, 404}] == []
