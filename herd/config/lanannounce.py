"""Announces the site on the network by mDNS and DNS-SD (RFC 6762, RFC 6763), so that it is found by its name."""

from collections.abc import Callable, Sequence

from zeroconf import Error, IPVersion, ServiceInfo, Zeroconf

from herd.config.lannames import LanNames

KIND = "_https._tcp.local."


class Announcement:
    """One announcement at a time; a network that takes none costs nothing but the name."""

    def __init__(self, say: Callable[[str], None], interfaces: Sequence[str] | None = None) -> None:
        self._say = say
        self._interfaces = list(interfaces) if interfaces else None
        self._open: Zeroconf | None = None

    def tell(self, names: LanNames, port: int) -> None:
        """Announce the site under these names, in place of what was announced before."""
        self.end()
        try:
            self._open = Zeroconf(self._interfaces) if self._interfaces else Zeroconf(ip_version=IPVersion.V4Only)
            self._open.register_service(_service(names, port), allow_name_change=True)
        except (OSError, Error) as problem:
            self._say(f"The network takes no announcements ({problem}); use the address with digits.")
            self.end()

    def end(self) -> None:
        """Take the announcement back."""
        opened, self._open = self._open, None
        if opened is not None:
            opened.close()


def _service(names: LanNames, port: int) -> ServiceInfo:
    label = names.host.partition(".")[0]
    return ServiceInfo(
        KIND,
        f"Notchbook on {label}.{KIND}",
        parsed_addresses=[str(one) for one in names.addresses],
        port=port,
        properties={"path": "/"},
        server=f"{names.host}.",
    )
