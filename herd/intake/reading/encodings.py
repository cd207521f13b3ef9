"""Finding out how the bytes of a text file spell letters, and surveying the whole text once."""

import codecs
from dataclasses import dataclass, field
from typing import BinaryIO

import charset_normalizer

from herd.intake.reading.letters import plausibility
from herd.intake.reading.outcome import UnreadableFile

CHUNK = 1024 * 1024
SAMPLE = 256 * 1024
_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# Of equals the earlier is taken: pages of western letters, then of eastern and Greek ones.
_OTHERS = ("mac_roman", "cp850", "cp1250", "cp1253")
_CONTROLS = bytes(byte for byte in range(32) if byte not in (9, 10, 11, 12, 13, 26, 28, 29, 30, 31, 1, 2, 3, 4))


def _decode_bad_byte(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeDecodeError):
        raise error
    bad = error.object[error.start : error.start + 1]
    return bad.decode("cp1252", "replace"), error.start + 1


codecs.register_error("one_byte_letters", _decode_bad_byte)


@dataclass(slots=True)
class Survey:
    """What one pass over the whole text tells: sizes in characters, line ends by kind, odd signs."""

    encoding: str
    byte_order_mark: bool
    errors: str = "strict"
    endings: dict[str, int] = field(default_factory=lambda: {"\r\n": 0, "\n": 0, "\r": 0})
    characters: int = 0
    nuls: int = 0
    last: str = ""

    @property
    def total_lines(self) -> int:
        """Physical lines of the file; a last line without an end counts."""
        return sum(self.endings.values()) + (1 if self.last and self.last not in "\r\n" else 0)

    @property
    def line_ending(self) -> str:
        """The usual line end (LF, CRLF, CR), `mixed` when there are several, or empty for none."""
        seen = [end for end, count in self.endings.items() if count]
        if len(seen) > 1:
            return "mixed"
        return {"\r\n": "CRLF", "\n": "LF", "\r": "CR"}[seen[0]] if seen else ""


def survey_text(stream: BinaryIO) -> Survey:
    """Find the encoding and count what the whole text holds, in one or two passes of flat memory."""
    stream.seek(0)
    head = stream.read(SAMPLE)
    for encoding, marked in _likely(head):
        try:
            return _count(stream, Survey(encoding, marked))
        except UnicodeDecodeError:
            continue
    encoding, errors = _one_byte_encoding(_odd_lines(stream))
    return _count(stream, Survey(encoding, head.startswith(codecs.BOM_UTF8), errors))


def _likely(head: bytes) -> list[tuple[str, bool]]:
    for mark, encoding in _MARKS:
        if head.startswith(mark):
            return [(encoding, True)]
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = max(1, len(head) // 2)
    if odd > half * 0.4 and even < half * 0.1:
        return [("utf-16-le", False)]
    if even > half * 0.4 and odd < half * 0.1:
        return [("utf-16-be", False)]
    # A logger that lost power leaves zero bytes at the end; they say nothing about the text before them.
    body = head.rstrip(b"\x00")
    controls = len(body) - len(body.translate(None, _CONTROLS))
    if controls * 50 > len(body) or (head and not body):
        raise UnreadableFile("binary", "The file holds binary data, not a table of text or a workbook.")
    return [("utf-8", False)]


def _count(stream: BinaryIO, survey: Survey) -> Survey:
    stream.seek(0)
    decoder = codecs.getincrementaldecoder(survey.encoding)(survey.errors)
    while block := stream.read(CHUNK):
        _add(survey, decoder.decode(block))
    _add(survey, decoder.decode(b"", final=True))
    if survey.byte_order_mark:
        survey.characters -= 1
    return survey


def _add(survey: Survey, text: str) -> None:
    if not text:
        return
    ends = survey.endings
    pairs, feeds, returns = text.count("\r\n"), text.count("\n"), text.count("\r")
    if survey.last == "\r" and text[0] == "\n":
        ends["\r"] -= 1
        ends["\r\n"] += 1
        feeds -= 1
    ends["\r\n"] += pairs
    ends["\n"] += feeds - pairs
    ends["\r"] += returns - pairs
    survey.nuls += text.count("\x00")
    survey.characters += len(text)
    survey.last = text[-1]


def _odd_lines(stream: BinaryIO) -> bytes:
    # Only lines with letters beyond ASCII tell encodings apart, so the detector is given those alone.
    stream.seek(0)
    odd = bytearray()
    for line in iter(lambda: stream.readline(CHUNK), b""):
        if not line.isascii():
            odd += line
            if len(odd) > 65_536:
                break
    return bytes(odd)


def _one_byte_encoding(odd: bytes) -> tuple[str, str]:
    high = bytes(byte for byte in odd if byte > 127)
    valid = [sign for sign in odd.decode("utf-8", "ignore") if ord(sign) > 127]
    bad = len(high) - len("".join(valid).encode())
    if len(valid) >= 2 and len(valid) >= bad:
        return "utf-8", "one_byte_letters"
    if plausibility(odd, "cp1252") > 0.9:
        return "cp1252", "strict"
    best = charset_normalizer.from_bytes(odd).best()
    names = ["cp1252", *([best.encoding] if best else []), *_OTHERS]
    return max(names, key=lambda name: plausibility(odd, name)), "replace"
