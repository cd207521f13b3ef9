"""Reads bodies that may be compressed, without unpacking more than is allowed."""

import json
import zlib
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser

from api.problems import Problem
from herd.sync.protocol import MOST_BYTES

GZIP_WINDOW = 16 + zlib.MAX_WBITS


class BoundedJSON(BaseParser):
    """JSON of at most 1 MiB, plain or with Content-Encoding: gzip."""

    media_type = "application/json"

    def parse(self, stream: IO[bytes], media_type: str | None = None, parser_context: Any = None) -> Any:
        """Return what the body holds; raises ParseError, and Problem where it is larger than allowed."""
        request = (parser_context or {})["request"]
        raw = stream.read(MOST_BYTES + 1)
        if request.headers.get("Content-Encoding", "").lower() == "gzip":
            raw = _unpacked(raw)
        if len(raw) > MOST_BYTES:
            raise Problem("too-large", f"A push holds at most {MOST_BYTES} bytes; send it in two.")
        try:
            return json.loads(raw.decode())
        except (ValueError, RecursionError) as problem:
            raise ParseError("That is not JSON.") from problem


def _unpacked(raw: bytes) -> bytes:
    try:
        return zlib.decompressobj(GZIP_WINDOW).decompress(raw, MOST_BYTES + 1)
    except zlib.error as problem:
        raise ParseError("That is not gzip.") from problem
