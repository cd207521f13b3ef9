"""Counts that processes share: a Redis that is away neither shuts people out nor lets them try without end."""

import pytest

from herd.config.counting import SharedCounts

NOBODY_LISTENS = "redis://127.0.0.1:1/0"


@pytest.fixture
def counts() -> SharedCounts:
    away = SharedCounts(NOBODY_LISTENS, {})
    away.clear()
    return away


def test_while_redis_is_away_counts_go_on_in_memory(counts):
    assert counts.add("tries", 1, 60)
    assert not counts.add("tries", 1, 60)
    assert counts.incr("tries") == 2
    assert counts.get("tries", 0) == 2


def test_what_was_never_counted_is_said_as_redis_says_it(counts):
    with pytest.raises(ValueError):  # noqa: PT011 - Django says it in words of its own
        counts.incr("tries")
    counts.set("tries", 5, 60)
    assert counts.delete("tries")
    assert counts.get("tries") is None
