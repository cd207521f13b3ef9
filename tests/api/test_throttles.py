"""Calls are counted: by caller, anew each minute, and together where several processes share a cache."""

import uuid

import pytest
from django.core.cache.backends.locmem import LocMemCache
from django.core.exceptions import ImproperlyConfigured

from api.throttles import PerCaller
from herd.config.environment import read_cache


@pytest.fixture
def few(monkeypatch):
    monkeypatch.setattr(PerCaller, "get_rate", lambda _: "3/min")
    # Half a minute before calls are counted anew.
    monkeypatch.setattr(PerCaller, "timer", lambda _: 1_700_000_010.0)


def test_a_caller_waits_after_its_share_and_others_do_not(few, phone, reader):
    answers = [phone.get("me/") for _ in range(4)]
    assert [one.status_code for one in answers] == [200, 200, 200, 429]
    assert answers[-1].json()["type"] == "urn:notchbook:problem:throttled"
    assert 1 <= int(answers[-1]["Retry-After"]) <= 61
    assert reader.get("me/").status_code == 200


def test_two_processes_with_one_cache_count_together(few, phone, monkeypatch):
    shared = uuid.uuid4().hex
    for status in (200, 200, 200, 429):
        # Each time a cache of its own on the same counts, as another process has.
        monkeypatch.setattr(PerCaller, "cache", LocMemCache(shared, {}))
        assert phone.get("me/").status_code == status


@pytest.mark.parametrize(
    ("given", "broker", "place"),
    [
        ("", "redis://host:6379/0", "redis://host:6379/0"),
        ("redis://host:6379/1", "redis://host:6379/0", "redis://host:6379/1"),
        ("", "filesystem://localhost/", None),
    ],
)
def test_the_cache_is_the_redis_that_is_named(monkeypatch, given, broker, place):
    monkeypatch.setenv("NOTCHBOOK_CACHE_URL", given)
    assert read_cache("NOTCHBOOK_CACHE_URL", broker).get("LOCATION") == place


def test_a_cache_of_another_kind_is_refused(monkeypatch):
    monkeypatch.setenv("NOTCHBOOK_CACHE_URL", "memcached://host")
    with pytest.raises(ImproperlyConfigured):
        read_cache("NOTCHBOOK_CACHE_URL", "")
