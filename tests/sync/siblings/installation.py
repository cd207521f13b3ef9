"""Several installations in one process, each with a database of its own; calls between them go over the real API."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass, field
from typing import Any

import httpx
from django.core.cache import cache
from django.db import connections, transaction
from django.test import Client

from herd.accounts.models import Outfit
from herd.archive.firstcopy import begin, enrol_here
from herd.client.wire import Wire
from herd.registry.queries.export import export_outfit
from herd.sync.devices import make_device
from herd.sync.models import DeviceKind, DeviceRole, Upstream
from herd.sync.upstream.rounds import Round, sync_once
from tests.sync.properties.fieldphone import crashing_after

# One for all: making one reads the middleware.
CLIENT = Client(raise_request_exception=False)
URL = "http://testserver"

# How deep in savepoints the tests themselves have gone, by connection.
DEPTHS: dict[int, int] = {}

Fault = Callable[[str, httpx.Request], str]


class Cut(httpx.TransportError):
    """The line went dead."""


class Line(httpx.BaseTransport):
    """The way to an installation; `fault` says of each call whether it comes through whole, and where it is cut."""

    def __init__(self, to: "Installation") -> None:
        self.to = to
        self.fault: Fault = lambda path, request: ""
        self.calls: list[str] = []

    def handle_request(self, request: httpx.Request) -> httpx.Response:
        """Let the other installation answer, in its own database."""
        path = request.url.path
        self.calls.append(path)
        fault = self.fault(path, request)
        if fault == "lost":
            raise Cut("lost on the way there")
        caller = connections["default"]
        assert len(caller.savepoint_ids) <= DEPTHS.get(id(caller), 0), "a call inside a transaction"
        with self.to.here():
            with crashing_after(int(fault.partition(" ")[2])) if fault.startswith("crash") else nullcontext():
                answer = self._answer(request)
            if fault == "twice":
                answer = self._answer(request)
        if fault == "answer lost":
            raise Cut("lost on the way back")
        if fault == "torn":
            half = answer.content[: len(answer.content) // 2]
            return httpx.Response(answer.status_code, content=half, headers={"Content-Type": "application/json"})
        return answer

    def _answer(self, request: httpx.Request) -> httpx.Response:
        cache.clear()
        headers = {name: value for name, value in request.headers.items() if name.lower() != "content-length"}
        answer = CLIENT.generic(
            request.method,
            request.url.raw_path.decode(),
            request.read(),
            content_type=request.headers.get("Content-Type", "application/octet-stream"),
            headers=headers,
        )
        content = b"".join(answer.streaming_content) if answer.streaming else answer.content
        kept = {name: value for name, value in answer.items() if name.lower() not in {"content-length"}}
        return httpx.Response(answer.status_code, content=content, headers=kept)


@dataclass(slots=True)
class Installation:
    """One installation: its connection, and for one that follows another the way there."""

    name: str
    connection: Any
    line: Line | None = None
    tokens: dict[str, str] = field(default_factory=dict)

    @contextmanager
    def here(self) -> Iterator[None]:
        """Let all that runs inside be this installation's."""
        before = connections["default"]
        connections["default"] = self.connection
        try:
            yield
        finally:
            connections["default"] = before

    @property
    def outfit(self) -> Outfit:
        """The outfit; to be asked inside `here`."""
        return Outfit.objects.get()

    def enrol_with(self, office: "Installation") -> None:
        """Spend a code of the office and take the first copy."""
        with office.here():
            _, code = make_device(
                outfit=office.outfit, name=self.name, kind=DeviceKind.SIBLING, role=DeviceRole.OFFICE, by=None
            )
        self.line = self.line or Line(office)
        with self.here():
            enrolled = enrol_here(URL, code, self.line)
            wire = Wire(URL, lambda: enrolled.token, self.line)
            begin(enrolled, wire)

    def sync(self, fault: Fault | None = None) -> Round:
        """One round with the office; raises what a round raises."""
        assert self.line is not None
        self.line.fault = fault or (lambda path, request: "")
        with self.here():
            upstream = Upstream.objects.select_related("outfit").get()
            return sync_once(upstream, Wire(URL, lambda: upstream.token, self.line))

    def export(self) -> list[dict[str, Any]]:
        """The record as it is exported."""
        with self.here():
            return list(export_outfit(self.outfit))


@contextmanager
def rolled_back(*installations: Installation) -> Iterator[None]:
    """Leave every installation as it was; savepoints inside work as ever."""
    marks = []
    for one in installations:
        with one.here():
            mark = transaction.atomic()
            mark.__enter__()
            marks.append((one, mark, DEPTHS.get(id(one.connection), 0)))
            DEPTHS[id(one.connection)] = len(one.connection.savepoint_ids)
    try:
        yield
    finally:
        for one, mark, depth in reversed(marks):
            DEPTHS[id(one.connection)] = depth
            with one.here():
                transaction.set_rollback(True)
                mark.__exit__(None, None, None)
