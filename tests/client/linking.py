"""A link between the client and the real application that fails as links at a ranch do."""

from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import httpx
from django.core.handlers.wsgi import WSGIHandler

from herd.client.client import Surroundings
from herd.client.clocks import Clocks, clocks_of_machine

URL = "http://testserver"
Send = Callable[[httpx.Request], httpx.Response]
Fault = Callable[[httpx.Request, Send], httpx.Response]


class Link(httpx.BaseTransport):
    """Calls the application in this process; each fault that waits spoils one call."""

    def __init__(self) -> None:
        self.inner = httpx.WSGITransport(app=WSGIHandler(), raise_app_exceptions=False)
        self.faults: deque[Fault | None] = deque()
        self.only = ""
        self.calls: list[str] = []
        self.asked: list[str] = []
        self.late: list[httpx.Request] = []

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        request.read()
        self.calls.append(f"{request.method} {request.url.path.removeprefix('/api/v1/')}")
        self.asked.append(request.url.query.decode())
        fault = self.faults.popleft() if self.faults and self.only in request.url.path else None
        return fault(request, self.inner.handle_request) if fault else self.inner.handle_request(request)

    def spoil(self, *faults: Fault | None, only: str = "") -> None:
        """Spoil the next calls, None leaving one whole; `only` those whose path holds these letters."""
        self.faults.extend(faults)
        self.only = only

    def keep_back(self, request: httpx.Request, send: Send) -> httpx.Response:
        """A fault: the request stays somewhere on its way."""
        self.late.append(request)
        raise httpx.ReadTimeout("late")

    def deliver_late(self) -> list[int]:
        """Let what was kept back arrive, to nobody who waits for it."""
        return [_whole(self.inner.handle_request(request)).status_code for request in self.late]


def drop_request(request: httpx.Request, send: Send) -> httpx.Response:
    raise httpx.ConnectError("no network")


def drop_answer(request: httpx.Request, send: Send) -> httpx.Response:
    _whole(send(request))
    raise httpx.ReadError("cut off")


def deliver_twice(request: httpx.Request, send: Send) -> httpx.Response:
    _whole(send(request))
    return send(request)


def answer(status: int, text: str = "{}", **headers: str) -> Fault:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return lambda request, send: httpx.Response(status, text=text, headers=named)


def cut_after(lines: int, *, in_silence: bool = False) -> Fault:
    """A stream that ends in the middle of the line after so many lines: with a fault, or as if it were the end."""

    def fault(request: httpx.Request, send: Send) -> httpx.Response:
        whole = _whole(send(request)).content.splitlines(keepends=True)
        return httpx.Response(200, stream=_Cut(b"".join(whole[:lines]) + whole[lines][:20], in_silence))

    return fault


class _Cut(httpx.SyncByteStream):
    def __init__(self, content: bytes, in_silence: bool) -> None:
        self.content, self.in_silence = content, in_silence

    def __iter__(self) -> Iterator[bytes]:
        yield self.content
        if not self.in_silence:
            raise httpx.ReadError("cut off")


def _whole(response: httpx.Response) -> httpx.Response:
    response.read()
    response.close()
    return response


def around(link: httpx.BaseTransport, naps: list[float] | None = None, clocks: Clocks | None = None) -> Surroundings:
    """Surroundings without waiting: the naps that were to be taken are noted."""
    taken = [] if naps is None else naps
    return Surroundings(clocks or clocks_of_machine(), taken.append, lambda: 1.0, link)


@contextmanager
def disk_full(store) -> Iterator[None]:
    """A disk without room: SQLite itself says that the file can't grow (SQLITE_FULL)."""
    pages = store.run("PRAGMA page_count").fetchone()[0]
    store.run(f"PRAGMA max_page_count={pages}")
    yield
    store.run("PRAGMA max_page_count=1073741823")
