"""Answers with much in them: written by a quick encoder, and compressed where the caller takes that."""

import zlib
from collections.abc import Iterable, Iterator
from typing import Any, TypeVar

import orjson
from django.http import HttpResponse, StreamingHttpResponse
from django.utils.cache import patch_vary_headers
from rest_framework.request import Request

GZIP_WINDOW = 16 + zlib.MAX_WBITS
# The least that compressing costs; cards are alike enough to shrink to a tenth by it.
LEVEL = 1
SMALL = 1_000
Answer = TypeVar("Answer", HttpResponse, StreamingHttpResponse)


def answer_packed(request: Request, told: dict[str, Any]) -> HttpResponse:
    """Answer with one JSON object; moments are written as 2026-03-14T15:30:00Z."""
    whole = orjson.dumps(told, option=orjson.OPT_UTC_Z)
    is_packed = len(whole) > SMALL and _takes_gzip(request)
    answer = HttpResponse(zlib.compress(whole, LEVEL, GZIP_WINDOW) if is_packed else whole, "application/json")
    return _marked(answer, is_packed=is_packed)


def stream_packed(request: Request, portions: Iterable[bytes], content_type: str) -> StreamingHttpResponse:
    """Answer with portions as they are made."""
    is_packed = _takes_gzip(request)
    answer = StreamingHttpResponse(_packed(portions) if is_packed else portions, content_type=content_type)
    return _marked(answer, is_packed=is_packed)


def _takes_gzip(request: Request) -> bool:
    offered = [one.strip() for one in request.headers.get("Accept-Encoding", "").lower().split(",")]
    return "gzip" in offered


def _packed(portions: Iterable[bytes]) -> Iterator[bytes]:
    packer = zlib.compressobj(LEVEL, wbits=GZIP_WINDOW)
    for portion in portions:
        # Flushed, so that the device can work on a portion while the next is made.
        yield packer.compress(portion) + packer.flush(zlib.Z_SYNC_FLUSH)
    yield packer.flush()


def _marked(answer: Answer, *, is_packed: bool) -> Answer:
    if is_packed:
        answer.headers["Content-Encoding"] = "gzip"
    patch_vary_headers(answer, ["Accept-Encoding"])
    return answer
