"""The names and addresses of this machine on a ranch network: private addresses only."""

import re
import socket
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network

import ifaddr

Address = IPv4Address | IPv6Address

# Addresses that no one outside has: RFC 1918, RFC 3927, RFC 4193, and this machine's own.
PRIVATE = (
    *(ip_network(one) for one in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")),
    *(ip_network(one) for one in ("fc00::/7", "::1/128")),
)
LOCAL_DOMAIN = "local"


@dataclass(frozen=True, slots=True)
class LanNames:
    """How this machine is called on the network: its name under .local (RFC 6762), and its addresses, best first."""

    host: str
    addresses: tuple[Address, ...]

    @property
    def hosts(self) -> list[str]:
        """All of them as they stand in the Host header of a call."""
        shown = [f"[{one}]" if one.version == 6 else str(one) for one in self.addresses]
        return [self.host, *shown, "localhost", "127.0.0.1", "[::1]"]

    @property
    def best(self) -> str:
        """The one that a phone is most likely to reach: an address, since not every phone knows names under .local."""
        v4 = [str(one) for one in self.addresses if one.version == 4]
        return v4[0] if v4 else self.host


def is_private(address: Address) -> bool:
    """Whether an address belongs to a network of one's own."""
    return any(address in network for network in PRIVATE)


def names_of_machine() -> LanNames:
    """What this machine is called now; it changes as it joins another network."""
    found = {one for one in _all_addresses() if is_private(one) and not one.is_loopback}
    # 169.254 is what a machine gives itself where nobody gave it an address.
    ordered = sorted(found, key=lambda one: (one.version, one.is_link_local, int(one)))
    return LanNames(host_name(socket.gethostname()), tuple(ordered))


def host_name(text: str) -> str:
    """The machine's name as a label under .local, in letters, digits and dashes (RFC 1123)."""
    label = re.sub(r"[^a-z0-9]+", "-", text.partition(".")[0].lower()).strip("-")[:63].strip("-")
    return f"{label or 'notchbook'}.{LOCAL_DOMAIN}"


def _all_addresses() -> list[Address]:
    texts = [
        one.ip if isinstance(one.ip, str) else one.ip[0] for adapter in ifaddr.get_adapters() for one in adapter.ips
    ]
    return [ip_address(text.partition("%")[0]) for text in texts]
