"""ETags: the state of a thing as it was read, so that nobody overwrites what he has not seen (RFC 9110)."""

import hashlib
import json
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from rest_framework.request import Request
from rest_framework.response import Response

from api.problems import Problem


def etag_of(shown: Any) -> str:
    """The ETag of a whole representation."""
    plain = json.dumps(shown, cls=DjangoJSONEncoder, sort_keys=True).encode()
    return f'"{hashlib.sha256(plain).hexdigest()[:32]}"'


def answer_with_state(request: Request, shown: Any, asked: Any = None, *, status: int = 200) -> Response:
    """Answer with a representation and its ETag; 304 where the caller has it already.

    `asked` is what is sent where the caller asked for some fields only; the ETag is always of the whole.
    """
    etag = etag_of(shown)
    if request.method == "GET" and etag in _listed(request.headers.get("If-None-Match", "")):
        return Response(status=304, headers={"ETag": etag})
    return Response(shown if asked is None else asked, status=status, headers={"ETag": etag})


def check_state(request: Request, shown: Any) -> None:
    """Raise Problem unless If-Match names the state that stands now: 428 without one, 412 where it has changed."""
    given = request.headers.get("If-Match", "")
    if not given:
        raise Problem("precondition-required", "Read it first and send its ETag in If-Match.")
    if given.strip() != "*" and etag_of(shown) not in _listed(given):
        raise Problem("stale", "Read it again; it has changed since.", etag=etag_of(shown))


def _listed(header: str) -> set[str]:
    return {one.strip().removeprefix("W/") for one in header.split(",") if one.strip()}
