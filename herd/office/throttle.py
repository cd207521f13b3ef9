"""Holds up sign-ins after many failures for one name from one address."""

import hashlib
from dataclasses import dataclass

from django.core.cache import cache
from django.http import HttpRequest

MOST_FAILURES = 8
SECONDS = 10 * 60
WAIT = "Too many sign-ins failed for this name from here. Wait ten minutes, then try again."


@dataclass(frozen=True, slots=True)
class Door:
    """One name tried from one address; failures are counted in Django's cache for ten minutes."""

    key: str

    @property
    def is_shut(self) -> bool:
        """Whether another try has to wait."""
        return int(cache.get(self.key, 0)) >= MOST_FAILURES

    def count_failure(self) -> None:
        """Count one more; the ten minutes run from the first."""
        if not cache.add(self.key, 1, SECONDS):
            try:
                cache.incr(self.key)
            except ValueError:
                cache.set(self.key, 1, SECONDS)

    def open(self) -> None:
        """Forget the failures."""
        cache.delete(self.key)


def door_of(request: HttpRequest, name: str) -> Door:
    """Return the door for a name tried from the request's address."""
    tried = f"{name.strip().casefold()}\n{request.META.get('REMOTE_ADDR', '')}"
    return Door(f"sign-in:{hashlib.sha256(tried.encode()).hexdigest()}")
