"""Reads bodies that may be compressed, without unpacking more than is allowed."""

import json
import re
import zlib
from typing import IO, Any, ClassVar

from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser

from api.problems import Problem
from herd.sync.protocol import MOST_BYTES

GZIP_WINDOW = 16 + zlib.MAX_WBITS
UNKEPT = re.compile("[\x00\ud800-\udfff]")


class BoundedJSON(BaseParser):
    """JSON of at most so many bytes, plain or with Content-Encoding: gzip; what is in it is the reader's matter."""

    media_type = "application/json"
    most: ClassVar = MOST_BYTES

    def parse(self, stream: IO[bytes], media_type: str | None = None, parser_context: Any = None) -> Any:
        """Return what the body holds; raises ParseError, and Problem where it is larger than allowed."""
        request = (parser_context or {})["request"]
        raw = stream.read(self.most + 1)
        if request.headers.get("Content-Encoding", "").lower() == "gzip":
            raw = self._unpacked(raw)
        if len(raw) > self.most:
            raise Problem("too-large", f"A body holds at most {self.most} bytes; send it in two.")
        try:
            return self.read(raw.decode())
        except (ValueError, RecursionError) as problem:
            raise ParseError("That is not JSON.") from problem

    def read(self, text: str) -> Any:
        """Read the text; raises ValueError."""
        return json.loads(text)

    def _unpacked(self, raw: bytes) -> bytes:
        try:
            return zlib.decompressobj(GZIP_WINDOW).decompress(raw, self.most + 1)
        except zlib.error as problem:
            raise ParseError("That is not gzip.") from problem


class Lines(BoundedJSON):
    """Lines of JSON of a processing day with its field files, which another installation sends whole."""

    most: ClassVar = 512 * 1024 * 1024

    def read(self, text: str) -> Any:
        """Cut the text into lines; each is read where it is used."""
        return text.split("\n")[:-1]


class PlainJSON(BoundedJSON):
    """JSON as RFC 8259 has it and as every database can keep it: no NaN, no endless number, no NUL, no half pair."""

    def read(self, text: str) -> Any:
        """Read the text; raises ValueError."""
        found = json.loads(text, parse_constant=_refuse, parse_float=_finite)
        # Written out again without escapes, so that what an escape stood for is seen.
        if UNKEPT.search("".join(_texts(found))):
            raise Problem("unfit", "It holds characters that can't be kept: NUL, or half of a pair.")
        return found


def _refuse(word: str) -> Any:
    raise ParseError(f"{word} is no number of JSON.")


def _finite(text: str) -> float:
    number = float(text)
    if number in {float("inf"), float("-inf")}:
        raise ParseError("That number is too large to be kept.")
    return number


def _texts(found: Any) -> list[str]:
    """All texts in what was read, names of members among them."""
    texts, left = [], [found]
    while left:
        one = left.pop()
        if isinstance(one, str):
            texts.append(one)
        elif isinstance(one, dict):
            texts.extend(one)
            left.extend(one.values())
        elif isinstance(one, list):
            left.extend(one)
    return texts
