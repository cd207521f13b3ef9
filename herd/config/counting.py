"""The cache that failed sign-ins and calls are counted in: Redis, and this process's memory while Redis is away."""

from typing import Any

from django.core.cache.backends.base import BaseCache
from django.core.cache.backends.locmem import LocMemCache
from django.core.cache.backends.redis import RedisCache
from redis.exceptions import RedisError


class SharedCounts(BaseCache):
    """Counts that all processes share; a Redis that is away shuts nobody out, and lets nobody try without end."""

    def __init__(self, server: str, params: dict[str, Any]) -> None:
        super().__init__(params)
        self._shared = RedisCache(server, params)
        self._own = LocMemCache("counts", params)

    def get(self, *given: Any, **named: Any) -> Any:
        """As Django's caches do."""
        return self._ask("get", *given, **named)

    def add(self, *given: Any, **named: Any) -> bool:
        """As Django's caches do."""
        return bool(self._ask("add", *given, **named))

    def set(self, *given: Any, **named: Any) -> None:
        """As Django's caches do."""
        self._ask("set", *given, **named)

    def incr(self, *given: Any, **named: Any) -> int:
        """As Django's caches do; raises ValueError for a key that is not there."""
        return int(self._ask("incr", *given, **named))

    def touch(self, *given: Any, **named: Any) -> bool:
        """As Django's caches do."""
        return bool(self._ask("touch", *given, **named))

    def delete(self, *given: Any, **named: Any) -> bool:
        """As Django's caches do."""
        return bool(self._ask("delete", *given, **named))

    def clear(self) -> None:
        """As Django's caches do."""
        self._ask("clear")

    def _ask(self, verb: str, *given: Any, **named: Any) -> Any:
        try:
            return getattr(self._shared, verb)(*given, **named)
        except RedisError:
            return getattr(self._own, verb)(*given, **named)
