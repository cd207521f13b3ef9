"""Holds up sign-ins and one-time codes after many failures for one name from one address, or from one address."""

import hashlib
from dataclasses import dataclass
from ipaddress import ip_address, ip_network

from django.core.cache import cache
from django.http import HttpRequest

MOST_FAILURES = 8
# For all names together: people behind one router share an address, so this is wider.
MOST_FROM_ADDRESS = 60
SECONDS = 10 * 60
WAIT = "Too many sign-ins failed for this name from here. Wait ten minutes, then try again."


@dataclass(frozen=True, slots=True)
class Door:
    """One name tried from one address; failures are counted in Django's cache for ten minutes.

    Failures of all names from the address are counted beside, under `address_key`, so that one who goes through
    many names is held up as well.
    """

    key: str
    address_key: str

    @property
    def is_shut(self) -> bool:
        """Whether another try has to wait."""
        return (
            int(cache.get(self.key, 0)) >= MOST_FAILURES
            or int(cache.get(self.address_key, 0)) >= MOST_FROM_ADDRESS
        )

    def count_failure(self) -> None:
        """Count one more; the ten minutes run from the first."""
        for key in (self.key, self.address_key):
            if not cache.add(key, 1, SECONDS):
                try:
                    cache.incr(key)
                except ValueError:
                    cache.set(key, 1, SECONDS)

    def open(self) -> None:
        """Forget the failures of this name; those of the address run out by themselves."""
        cache.delete(self.key)


def door_of(request: HttpRequest, name: str, purpose: str = "sign-in") -> Door:
    """Return the door for a name tried from the request's address, to sign in or to use a one-time code."""
    address = _network_of(str(request.META.get("REMOTE_ADDR", "")))
    return Door(_key(purpose, name.strip().casefold(), address), _key(purpose, "", address))


def _network_of(address: str) -> str:
    """The address, or the /64 that an IPv6 visitor has to choose addresses from (RFC 4291, section 2.5.4)."""
    try:
        found = ip_address(address)
    except ValueError:
        return address
    return str(found) if found.version == 4 else str(ip_network((found, 64), strict=False))


def _key(purpose: str, name: str, address: str) -> str:
    tried = hashlib.sha256(f"{name}\n{address}".encode())
    return f"{purpose}:{tried.hexdigest()}"
