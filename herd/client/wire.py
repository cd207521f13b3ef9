"""Calls to the server: signed, compressed, and every failure told as one of ours."""

import gzip
import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import IO, Any

import httpx

from herd.client.faults import Blocked, ClientError, Faulty, Offline, Refused, Unfit

Params = Mapping[str, str | int]
TIMEOUT = httpx.Timeout(60, connect=10)
SMALL = 1_000
AGAIN_LATER = frozenset({408, 425, 429, 502, 503, 504})
NOT_OURS = "What answered is not the server: a sign-in page of the network may be in the way, or the address is wrong."


class Wire:
    """The way to one server. `token` is asked for each time, since a device may be enrolled anew meanwhile."""

    def __init__(self, url: str, token: Callable[[], str], transport: httpx.BaseTransport | None = None) -> None:
        if not url.startswith(("http://", "https://")):
            raise Unfit(f"{url[:80]!r} is no address of a server: it begins with https:// or http://.")
        self._token = token
        # Redirections are not followed: the token goes to the address that was given, and to no other.
        self._client = httpx.Client(base_url=url.rstrip("/") + "/api/v1/", timeout=TIMEOUT, transport=transport)

    def close(self) -> None:
        """Close what is open."""
        self._client.close()

    def get(self, path: str, params: Params | None = None) -> dict[str, Any]:
        """Ask for something; raises Offline, Refused, Blocked."""
        with _told():
            return _answer(self._client.get(path, params=params, headers=self._headers()))

    def post(self, path: str, body: bytes) -> dict[str, Any]:
        """Send JSON, compressed where that saves something; raises Offline, Refused, Blocked."""
        headers = {**self._headers(), "Content-Type": "application/json"}
        if len(body) > SMALL:
            body, headers["Content-Encoding"] = gzip.compress(body), "gzip"
        with _told():
            return _answer(self._client.post(path, content=body, headers=headers))

    def post_file(self, path: str, fields: Mapping[str, str], name: str, content: bytes) -> dict[str, Any]:
        """Send a form with one file (multipart/form-data, RFC 7578); raises Offline, Refused, Blocked."""
        file = {"files": (name, content, "application/octet-stream")}
        with _told():
            return _answer(self._client.post(path, data=dict(fields), files=file, headers=self._headers()))

    @contextmanager
    def lines(self, path: str, params: Params) -> Iterator[Iterator[bytes]]:
        """Ask for lines, one by one as they come; a last line without its end is left out."""
        with _told(), self._client.stream("GET", path, params=params, headers=self._headers()) as answer:
            if answer.status_code != 200:
                answer.read()
                _answer(answer)
                raise Offline(NOT_OURS)
            yield _lines(answer.iter_bytes())

    def save(self, path: str, into: IO[bytes]) -> None:
        """Ask for a file and write it piece by piece; raises Offline, Refused, Blocked."""
        with _told(), self._client.stream("GET", path, headers=self._headers()) as answer:
            if answer.status_code != 200:
                answer.read()
                _answer(answer)
                raise Offline(NOT_OURS)
            for piece in answer.iter_bytes():
                into.write(piece)

    def _headers(self) -> dict[str, str]:
        token = self._token()
        return {"Authorization": f"Bearer {token}"} if token else {}


def _lines(chunks: Iterator[bytes]) -> Iterator[bytes]:
    rest = b""
    for chunk in chunks:
        *whole, rest = (rest + chunk).split(b"\n")
        yield from whole


@contextmanager
def _told() -> Iterator[None]:
    try:
        yield
    except httpx.TimeoutException as problem:
        raise Offline("The server did not answer in time.") from problem
    except httpx.TransportError as problem:
        raise Offline(f"The server can't be reached ({problem}).") from problem
    except (httpx.HTTPError, httpx.InvalidURL, httpx.StreamError) as problem:
        raise Offline(f"The answer can't be read ({problem}).") from problem


def _answer(answer: httpx.Response) -> dict[str, Any]:
    found = _object(answer)
    if answer.is_success and found is not None:
        return found
    raise _fault(answer, found)


def _fault(answer: httpx.Response, problem: dict[str, Any] | None) -> ClientError:
    status = answer.status_code
    if answer.is_redirect:
        elsewhere = answer.headers.get("Location", "")[:80]
        return Offline(f"We are sent elsewhere, to {elsewhere}: sign in to the network, or enrol with that address.")
    if status in AGAIN_LATER:
        return Offline("The server is busy.", _wait(answer.headers.get("Retry-After", "")))
    if status >= 500:
        return Faulty(f"The server stumbled ({status}).")
    if problem is None:
        # 413 is often said by what stands before the server, in its own words.
        return Refused("That is too large.", status, {}) if status == 413 else Offline(NOT_OURS)
    sentence = str(problem.get("detail") or problem.get("title") or f"The server refused it ({status}).")
    if status == 401:
        said = "This device's token does not hold any more: the office has blocked it or enrolled it anew."
        return Blocked(f"{said} What was captured stays here; ask the office for a new code.", status, problem)
    return Refused(sentence, status, problem)


def _object(answer: httpx.Response) -> dict[str, Any] | None:
    try:
        found = json.loads(answer.content)
    except ValueError:
        return None
    return found if isinstance(found, dict) else None


def _wait(text: str) -> float | None:
    """Seconds of a Retry-After header, which is a number or a moment (RFC 9110, section 10.2.3)."""
    if text.strip().isdigit():
        return float(text)
    try:
        moment = parsedate_to_datetime(text)
    except ValueError:
        return None
    moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return max(0.0, (moment - datetime.now(UTC)).total_seconds())
