"""The names and addresses of this machine on a ranch network: private addresses only."""

import re
import socket
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_network

import ifaddr

Address = IPv4Address | IPv6Address

# Addresses that no one outside has: RFC 1918, RFC 3927, RFC 4193, and this machine's own. The authority is made to
# last, so those of version 6 are among them, though the servers here answer to version 4 alone.
PRIVATE = (
    *(ip_network(one) for one in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")),
    *(ip_network(one) for one in ("fc00::/7", "::1/128")),
)
LOCAL_DOMAIN = "local"


@dataclass(frozen=True, slots=True)
class LanNames:
    """How this machine is called on the network: its name under .local (RFC 6762), and its addresses, best first."""

    host: str
    addresses: tuple[IPv4Address, ...]

    @property
    def hosts(self) -> list[str]:
        """All of them as they stand in the Host header of a call."""
        return [self.host, *map(str, self.addresses), "localhost", "127.0.0.1"]

    @property
    def best(self) -> str:
        """The one that a phone is most likely to reach: an address, since not every phone knows names under .local."""
        return str(self.addresses[0]) if self.addresses else self.host


def is_private(address: Address) -> bool:
    """Whether an address belongs to a network of one's own."""
    return any(address in network for network in PRIVATE)


def names_of_machine() -> LanNames:
    """What this machine is called now; it changes as it joins another network."""
    found = {one for one in _addresses() if is_private(one) and not one.is_loopback}
    # 169.254 is what a machine gives itself where nobody gave it an address.
    ordered = sorted(found, key=lambda one: (one.is_link_local, int(one)))
    return LanNames(host_name(socket.gethostname()), tuple(ordered))


def host_name(text: str) -> str:
    """The machine's name as a label under .local, in letters, digits and dashes (RFC 1123)."""
    label = re.sub(r"[^a-z0-9]+", "-", text.partition(".")[0].lower()).strip("-")[:63].strip("-")
    return f"{label or 'notchbook'}.{LOCAL_DOMAIN}"


def _addresses() -> list[IPv4Address]:
    found = [one.ip for adapter in ifaddr.get_adapters() for one in adapter.ips]
    return [IPv4Address(one) for one in found if isinstance(one, str)]
