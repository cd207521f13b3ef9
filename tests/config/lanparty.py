"""A ranch network on this machine's own addresses: a network in itself, with a name that nothing else has."""

import ssl
from ipaddress import IPv4Address

from herd.config.lannames import LanNames

FIRST, SECOND = IPv4Address("127.0.0.2"), IPv4Address("127.0.0.3")
HOST = "mill-trap.local"
AT_FIRST = LanNames(HOST, (FIRST,))
AT_SECOND = LanNames(HOST, (SECOND,))


def trusting(folder) -> ssl.SSLContext:
    """The trust of a phone that has taken the authority's certificate, and trusts nobody else."""
    return ssl.create_default_context(cafile=folder / "authority.crt")
