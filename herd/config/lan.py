"""Serves the ranch network: HTTPS for the site, a plain page about trust, an announcement, and a code to scan."""

import io
import threading
from collections.abc import Callable
from dataclasses import dataclass

import segno
from django.conf import settings
from django.core.management.base import CommandError

from herd.config.lanannounce import Announcement
from herd.config.lanauthority import Authority, AuthorityLost
from herd.config.lannames import LanNames, names_of_machine
from herd.config.lanserver import Application, LanServer, secured
from herd.config.lantrust import Trusted, TrustPages, in_lines
from herd.config.supervision import Reminder

LOOK_SECONDS = 30.0
NO_NETWORK = "This machine is on no network of its own now; when it joins one, the address is said here."


@dataclass(frozen=True, slots=True)
class LanPorts:
    """Where the network is served: the site over HTTPS, and the plain page about trust."""

    site: int = 8443
    trust: int = 8080


class Lan:
    """The site on the ranch network; raises CommandError where it can't be served."""

    def __init__(
        self,
        application: Application,
        ports: LanPorts,
        say: Callable[[str], None],
        names_now: Callable[[], LanNames] = names_of_machine,
    ) -> None:
        if settings.PRODUCTION:
            raise CommandError("--lan is for a machine on a ranch network; in production the proxy speaks TLS.")
        self._say, self._names_now = say, names_now
        self._looking = threading.Lock()
        self._own_hosts = list(settings.ALLOWED_HOSTS)
        self._authority = Authority(settings.VAR_DIR / "lan")
        self._names = names_now()
        self._prepare()
        self._site = LanServer(secured(application), ports.site, self._authority.context())
        self._trust = LanServer(TrustPages(self.trusted), ports.trust)
        self._announcement = Announcement(say)
        self._reminder = Reminder(self.look, LOOK_SECONDS)

    def start(self) -> None:
        """Serve and say where; returns at once."""
        self._site.begin()
        self._trust.begin()
        self._tell()
        self._reminder.start()

    def stop(self) -> None:
        """Serve no more."""
        self._reminder.stop()
        self._announcement.end()
        self._trust.end()
        self._site.end()
        settings.ALLOWED_HOSTS = self._own_hosts

    def trusted(self) -> Trusted:
        """What the plain pages tell."""
        return Trusted(self._names, self._site.port, self._authority.pem(), self._authority.fingerprint())

    def look(self) -> None:
        """Follow the machine to another network, and renew the certificate in time."""
        with self._looking:
            names = self._names_now()
            has_moved, self._names = names != self._names, names
            try:
                is_new = self._prepare()
            except CommandError as problem:
                self._say(str(problem))
                return
            if is_new:
                self._site.ssl_adapter.context = self._authority.context()
            if has_moved:
                self._tell()

    def _prepare(self) -> bool:
        """Have a certificate for the names of now, and let the site answer to them."""
        settings.ALLOWED_HOSTS = list(dict.fromkeys([*self._own_hosts, *self._names.hosts]))
        try:
            return self._authority.prepare(self._names)
        except AuthorityLost as problem:
            raise CommandError(str(problem)) from problem
        except OSError as problem:
            raise CommandError(f"The certificate can't be kept in {self._authority.folder}: {problem}.") from problem

    def _tell(self) -> None:
        if not self._names.addresses:
            self._say(NO_NETWORK)
            return
        first = f"http://{self._names.best}:{self._trust.port}/"
        both = [f"https://{name}:{self._site.port}/" for name in (self._names.best, self._names.host)]
        self._say(f"On this network: {' or '.join(both)}")
        self._say(f"A phone or tablet opens {first} first, and learns there to trust this machine:")
        self._say(_code(first))
        self._say("Compare the fingerprint (SHA-256) that the phone shows with this one, all of it:")
        self._say("\n".join(in_lines(self._authority.fingerprint())))
        self._say(
            f"Who has the file {self._authority.key} can pose as this machine before every phone that trusts it: "
            "keep it to yourself, and leave it out of what you pass on."
        )
        self._announcement.tell(self._names, self._site.port)


def _code(address: str) -> str:
    """The address as a QR code of characters."""
    drawn = io.StringIO()
    segno.make(address, error="m").terminal(out=drawn, compact=True)
    return drawn.getvalue().rstrip("\n")
