"""Writes that are done once, however often a program asks for them: `Idempotency-Key`, as drafted in the IETF."""

import hashlib
import json
from collections.abc import Callable
from functools import wraps
from typing import Any

from django.db import transaction
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.encoders import JSONEncoder

from api.access import Caller
from api.problems import Problem
from herd.accounts.keptanswers import claim, keep
from herd.accounts.models import KeptAnswer

LONGEST = 100
KEY = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "minLength": 1, "maxLength": LONGEST, "pattern": "^[!-~]+$"},
    OpenApiParameter.HEADER,
    description="A key of your own for this write: sent again under it, nothing is written and the first answer comes.",
)
OTHER = "That key stood for another write; take a new key for each."

Write = Callable[..., Response]


def once(write: Write) -> Write:
    """Let a view's write be asked for under a key; its answer is kept in the write's own transaction.

    What the write leaves to be done after its transaction it appends to `request.afterwards`.
    """

    @wraps(write)
    def written(view: Any, request: Request, *args: Any, **kwargs: Any) -> Response:
        key = request.headers.get("Idempotency-Key")
        with transaction.atomic():
            request.afterwards = []  # type: ignore[attr-defined]
            if key is None:
                answer = write(view, request, *args, **kwargs)
            else:
                answer = _under(key, request, lambda: write(view, request, *args, **kwargs))
        for work in request.afterwards:  # type: ignore[attr-defined]
            work()
        return answer

    return written


def _under(key: str, request: Request, write: Callable[[], Response]) -> Response:
    if not 1 <= len(key) <= LONGEST or not all("!" <= letter <= "~" for letter in key):
        raise ValidationError({"Idempotency-Key": [f"A key has 1 to {LONGEST} characters of ASCII, and no space."]})
    caller: Caller = request.auth  # type: ignore[assignment]
    digest, now = _digest(request), timezone.now()
    kept, is_new = claim(outfit=caller.outfit, caller=caller.name, key=key, digest=digest, now=now)
    if not is_new:
        return _again(kept, digest)
    answer = write()
    body = json.loads(json.dumps(answer.data, cls=JSONEncoder))
    keep(kept, status=answer.status_code, body=body, place=answer.headers.get("Location", ""))
    return answer


def _again(kept: KeptAnswer, digest: str) -> Response:
    if kept.digest != digest:
        raise Problem("conflict", OTHER)
    place = {"Location": kept.place} if kept.place else {}
    return Response(kept.body, kept.status, headers={"Idempotency-Replayed": "true", **place})


def _digest(request: Request) -> str:
    """The SHA-256 of what is asked: the address, the members, the bytes of files."""
    found = hashlib.sha256(f"{request.method} {request.path}\n".encode())
    for file in request.FILES.getlist("files"):
        found.update(f"{file.name}\n".encode("utf-8", "surrogatepass"))
        for some in file.chunks():
            found.update(some)
        file.seek(0)
    sent: Any = request.data
    plain = {name: sent.getlist(name) for name in sent if name not in request.FILES} if request.FILES else sent
    found.update(json.dumps(plain, sort_keys=True, default=str).encode())
    return found.hexdigest()
