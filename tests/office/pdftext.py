"""The text on the pages of a PDF of ours, for tests: streams are unpacked and the strings in them read."""

import base64
import re
import zlib

STREAM = re.compile(rb"stream\r?\n(.*?)endstream", re.DOTALL)
SHOWN = re.compile(rb"\(((?:[^()\\]|\\.)*)\) Tj")


def texts_of(pdf: bytes) -> list[str]:
    """Every text drawn, page by page and in the order drawn."""
    found = []
    for packed in STREAM.findall(pdf):
        drawn = zlib.decompress(base64.a85decode(b"<~" + packed.strip(), adobe=True))
        found += [re.sub(rb"\\(\d{3}|.)", _escaped, one).decode("cp1252") for one in SHOWN.findall(drawn)]
    return found



def _escaped(match: re.Match[bytes]) -> bytes:
    mark = match[1]
    return bytes([int(mark, 8)]) if mark.isdigit() else mark
