"""The plain pages of the ranch network: how to trust this machine, its certificate to take, and the way on."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.template.loader import render_to_string

from herd.config.headers import POLICY
from herd.config.lannames import LanNames
from herd.config.lanserver import Environ, Start

# Four lines of eight pairs, the same on a phone and at the console, so that two people can read them to each other.
PAIRS_IN_LINE = 8
TYPE_OF_CERTIFICATE = "application/x-x509-ca-cert"


@dataclass(frozen=True, slots=True)
class Trusted:
    """What the pages tell: the names of now, the port of the site, the certificate and its fingerprint."""

    names: LanNames
    site_port: int
    certificate: bytes
    fingerprint: str

    @property
    def fingerprint_lines(self) -> list[str]:
        """The fingerprint as the page shows it."""
        return in_lines(self.fingerprint)

    def site(self, host: str) -> str:
        """The site's address under the name that the visitor used, where that is one of ours."""
        name = host.rpartition(":")[0] if host.rpartition(":")[2].isdigit() else host
        known = name if name in self.names.hosts else self.names.best
        return f"https://{known}:{self.site_port}"


def in_lines(fingerprint: str) -> list[str]:
    """A fingerprint in lines for the eye; no pair is broken."""
    pairs = fingerprint.split(":")
    return [":".join(pairs[start : start + PAIRS_IN_LINE]) for start in range(0, len(pairs), PAIRS_IN_LINE)]


class TrustPages:
    """A WSGI application; `now` gives what holds at this moment."""

    def __init__(self, now: Callable[[], Trusted]) -> None:
        self._now = now

    def __call__(self, environ: Environ, start: Start) -> Iterable[bytes]:
        """Answer one call; what is no page of ours is sent to the site."""
        told, path = self._now(), environ.get("PATH_INFO", "/")
        if environ["REQUEST_METHOD"] not in {"GET", "HEAD"}:
            return _answer(start, "405 Method Not Allowed", "text/plain", b"Open the address with https.\n")
        if path == "/authority.crt":
            name = ("Content-Disposition", 'attachment; filename="notchbook-authority.crt"')
            return _answer(start, "200 OK", TYPE_OF_CERTIFICATE, told.certificate, name)
        if path == "/trust.css":
            return _answer(start, "200 OK", "text/css; charset=utf-8", render_to_string("lan/trust.css").encode())
        site = told.site(environ.get("HTTP_HOST", ""))
        if path == "/":
            page = render_to_string("lan/trust.html", {"told": told, "site": site})
            return _answer(start, "200 OK", "text/html; charset=utf-8", page.encode())
        return _answer(start, "302 Found", "text/plain", b"", ("Location", site + _path_on(environ)))


def _path_on(environ: Environ) -> str:
    """The path as it was asked for, always below the site: two slashes at its beginning would name another host."""
    path = environ.get("REQUEST_URI") or environ.get("PATH_INFO", "/")
    path = path if path.startswith("/") else "/"
    plain = "".join(mark for mark in path if mark.isascii() and mark.isprintable() and mark != " ")
    return "/" + plain.lstrip("/")


def _answer(start: Start, status: str, kind: str, body: bytes, *more: tuple[str, str]) -> Iterable[bytes]:
    start(
        status,
        [
            ("Content-Type", kind),
            ("Content-Length", str(len(body))),
            ("Content-Security-Policy", POLICY),
            ("X-Content-Type-Options", "nosniff"),
            ("Cache-Control", "no-store"),
            *more,
        ],
    )
    return [body]
