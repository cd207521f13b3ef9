"""Serves the page on 127.0.0.1 only, to whoever has the key that the screen shows."""

import hmac
import threading
from collections.abc import Callable
from contextlib import closing
from http.cookies import CookieError, SimpleCookie
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from herd.bridge.keeping import Keeping, NotKept
from herd.bridge.live import Live
from herd.bridge.page.settling import settle
from herd.bridge.page.writing import Look, lines_as_they_come, what_goes_on, whole_page

HOST = "127.0.0.1"
COOKIE = "bridge_key"
MOST_BYTES = 10_000
HERE = Path(__file__).parent
FILES = {"/page.css": ("page.css", "text/css"), "/page.js": ("page.js", "text/javascript")}
PARTS: dict[str, Callable[[Look], str]] = {"/": whole_page, "/now": what_goes_on, "/lines": lines_as_they_come}
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; "
    "form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": with that a browser hides from us that a form is our own.
    "Referrer-Policy": "same-origin",
    "Cache-Control": "no-store",
}
NO_KEY = "This page opens with the address that the bridge shows on its screen; it holds the key."


class Page:
    """The page's server, in threads of its own; raises OSError where the port is taken."""

    def __init__(self, port: int, keep: Path, live: Live, wake: Callable[[], None]) -> None:
        with closing(Keeping(keep)) as keeping:
            self._key = keeping.key()
        self._server = _Server((HOST, port), keep, live, wake, self._key)
        self._thread = threading.Thread(target=self._server.serve_forever, name="page", daemon=True)

    @property
    def address(self) -> str:
        """The address with the key."""
        return f"http://{HOST}:{self._server.server_address[1]}/?key={self._key}"

    def start(self) -> None:
        """Begin; returns at once."""
        self._thread.start()

    def stop(self) -> None:
        """End."""
        self._server.shutdown()
        self._server.server_close()


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def __init__(
        self, address: tuple[str, int], keep: Path, live: Live, wake: Callable[[], None], key: str
    ) -> None:
        self.keep, self.live, self.wake, self.key = keep, live, wake, key
        self.form = hmac.new(key.encode(), b"form", "sha256").hexdigest()
        super().__init__(address, _Answer)


class _Answer(BaseHTTPRequestHandler):
    """Answers one call."""

    server: _Server
    timeout = 10
    server_version = "Notchbook"
    sys_version = ""

    def do_GET(self) -> None:  # noqa: N802
        """Show a page or one of its files."""
        asked = urlsplit(self.path)
        if not self._is_ours():
            self._say(403, NO_KEY)
        elif asked.path == "/favicon.ico":
            self._send(204, b"", "image/x-icon")
        elif asked.path in FILES:
            name, kind = FILES[asked.path]
            self._send(200, (HERE / name).read_bytes(), kind)
        elif asked.path == "/" and "key" in parse_qs(asked.query):
            self._admit(parse_qs(asked.query)["key"][0])
        elif not self._has_key():
            self._say(403, NO_KEY)
        elif asked.path in PARTS:
            self._show(PARTS[asked.path])
        else:
            self._say(404, "There is no such page.")

    def do_POST(self) -> None:  # noqa: N802
        """Settle what a person has decided."""
        given = self._form()
        if not self._is_ours() or not self._has_key() or not self._is_from_here():
            self._say(403, NO_KEY)
        elif given is None or not hmac.compare_digest(given.get("form", "").encode(), self.server.form.encode()):
            self._say(403, "The page was open for too long; open it again with the address on the screen.")
        else:
            self._settle(given)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: the terminal belongs to the screen."""

    def _settle(self, given: dict[str, str]) -> None:
        try:
            with closing(Keeping(self.server.keep)) as keeping:
                problem = settle(keeping, urlsplit(self.path).path, given)
        except NotKept as fault:
            problem = str(fault)
        if problem:
            self._show(lambda look: whole_page(look, problem), 409)
            return
        self.server.wake()
        self._redirect()

    def _show(self, write: Callable[[Look], str], status: int = 200) -> None:
        try:
            with closing(Keeping(self.server.keep)) as keeping:
                text = write(Look(self.server.live.now(), keeping, self.server.form))
        except NotKept as fault:
            self._say(500, str(fault))
            return
        self._send(status, text.encode(), "text/html")

    def _admit(self, key: str) -> None:
        if not hmac.compare_digest(key.encode(), self.server.key.encode()):
            self._say(403, NO_KEY)
            return
        self._redirect(f"{COOKIE}={key}; HttpOnly; SameSite=Strict; Path=/")

    def _redirect(self, cookie: str = "") -> None:
        self.send_response(303)
        self.send_header("Location", "/")
        if cookie:
            self.send_header("Set-Cookie", cookie)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _is_ours(self) -> bool:
        """Whether it was called by this machine's own name: another name for it belongs to another's page."""
        port = self.server.server_address[1]
        return self.headers.get("Host", "") in {f"{HOST}:{port}", f"localhost:{port}"}

    def _is_from_here(self) -> bool:
        origin = self.headers.get("Origin")
        return origin in {None, f"http://{self.headers.get('Host', '')}"}

    def _has_key(self) -> bool:
        try:
            found = SimpleCookie(self.headers.get("Cookie", "")).get(COOKIE)
        except CookieError:
            return False
        return found is not None and hmac.compare_digest(found.value.encode(), self.server.key.encode())

    def _form(self) -> dict[str, str] | None:
        length = self.headers.get("Content-Length", "")
        if not (length.isascii() and length.isdigit() and int(length) <= MOST_BYTES):
            return None
        text = self.rfile.read(int(length)).decode("utf-8", "replace")
        return {name: values[0] for name, values in parse_qs(text).items()}

    def _say(self, status: int, sentence: str) -> None:
        self._send(status, sentence.encode(), "text/plain")

    def _send(self, status: int, body: bytes, kind: str) -> None:
        self.send_response(status)
        for name, value in HEADERS.items():
            self.send_header(name, value)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)
