"""Servers for the ranch network: cheroot's, over TLS for the site, plain for the page that explains how to trust it."""

import logging
import ssl
import threading
from collections.abc import Callable, Iterable
from typing import Any

from cheroot import wsgi
from cheroot.makefile import StreamReader, StreamWriter
from cheroot.server import HTTPConnection
from cheroot.ssl import Adapter
from django.conf import settings
from django.core.management.base import CommandError

LOG = logging.getLogger(__name__)
THREADS = 12
PORTS_TRIED = 50
LONGEST_HEADER = 64 * 1024
Environ = dict[str, Any]
Start = Callable[..., Any]
Application = Callable[[Environ, Start], Iterable[bytes]]


class LateHandshake(Adapter):
    """TLS whose handshake waits for the worker that reads the request.

    Done where connections are accepted, as usual, one silent caller would keep all others waiting. `context` may be
    replaced at any time; connections that come after show the new certificate.
    """

    def __init__(self, context: ssl.SSLContext) -> None:
        super().__init__("", "")
        self.context = context

    def bind(self, sock: Any) -> Any:
        """Leave the listening socket as it is."""
        return sock

    def wrap(self, sock: Any) -> tuple[Any, Environ]:
        """The socket that will speak TLS, and what the application is told of it."""
        return self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False), self.get_environ()

    def get_environ(self) -> Environ:
        """That the visitor came over TLS."""
        return {"wsgi.url_scheme": "https", "HTTPS": "on"}

    def makefile(self, sock: Any, mode: str = "r", bufsize: int = -1) -> Any:
        """The socket as a file."""
        return StreamReader(sock, mode, bufsize) if "r" in mode else StreamWriter(sock, mode, bufsize)


class TlsConnection(HTTPConnection):
    """A connection that begins with its handshake; a caller who breaks it off is let go without a word."""

    has_shaken = False

    def communicate(self) -> bool:
        """Answer the next request; whether the connection stays open."""
        if not self.has_shaken:
            try:
                self.socket.do_handshake()
            except OSError as problem:
                # Every phone that does not trust us yet ends here.
                LOG.info("No TLS with %s: %s", self.remote_addr, problem)
                return False
            self.has_shaken = True
        return bool(super().communicate())


class LanServer(wsgi.Server):
    """One server in a thread of its own, over TLS where a context is given; raises CommandError without a free port."""

    max_request_header_size = LONGEST_HEADER
    max_request_body_size = settings.REQUEST_MAX_BYTES

    def __init__(self, application: Application, port: int, context: ssl.SSLContext | None = None) -> None:
        super().__init__(("0.0.0.0", port), application, numthreads=THREADS, server_name="Notchbook")
        self.software = "Notchbook"
        if context is not None:
            self.ssl_adapter = LateHandshake(context)
            self.ConnectionClass = TlsConnection
        self._thread = threading.Thread(target=self.serve, name=f"lan {port}", daemon=True)
        self._take_port(port)

    @property
    def port(self) -> int:
        """The port it listens at."""
        return int(self.bind_addr[1])

    def begin(self) -> None:
        """Answer; returns at once."""
        self._thread.start()

    def end(self) -> None:
        """Answer no more."""
        self.stop()
        self._thread.join(5)

    def error_log(self, msg: str = "", level: int = 20, traceback: bool = False) -> None:  # noqa: FBT001, FBT002
        """Log as everything here does."""
        LOG.log(level, msg, exc_info=traceback)

    def _take_port(self, port: int) -> None:
        for candidate in [0] if port == 0 else range(port, min(port + PORTS_TRIED, 65535) + 1):
            self.bind_addr = ("0.0.0.0", candidate)
            try:
                self.prepare()
            except OSError as problem:
                LOG.info("Port %s: %s", candidate, problem)
            else:
                return
        raise CommandError(f"No free port from {port} on for the local network.")


def secured(application: Application) -> Application:
    """The same application with cookies that a browser sends back over TLS only.

    Cookies of plain localhost stay as they are. No Strict-Transport-Security: it would cover the plain page that
    explains how to trust this machine, which has the same name.
    """

    def answer(environ: Environ, start: Start) -> Iterable[bytes]:
        def begin(status: str, headers: list[tuple[str, str]], *more: Any) -> Any:
            return start(status, [_secured(*one) for one in headers], *more)

        return application(environ, begin)

    return answer


def _secured(name: str, value: str) -> tuple[str, str]:
    words = [part.strip().lower() for part in value.split(";")]
    is_open = name.lower() == "set-cookie" and "secure" not in words
    return name, f"{value}; Secure" if is_open else value
