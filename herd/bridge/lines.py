"""Bytes from a port cut into lines: nothing half received is ever taken for a whole line."""

from dataclasses import dataclass

LONGEST = 256
# CR and LF, and the ends of a frame of ASCII (ECMA-6): NUL, ETX, EOT.
ENDS = frozenset(b"\r\n\x00\x03\x04")
_CONTROLS = dict.fromkeys([*range(0x20), 0x7F])


@dataclass(frozen=True, slots=True)
class Line:
    """One line as text without control characters; `fault` says why it can't be used, empty where it can."""

    text: str
    fault: str = ""


class Cutter:
    """Cuts the bytes of one port into lines of at most 256 bytes, however they are broken up on their way."""

    def __init__(self) -> None:
        self._rest = bytearray()
        self._is_too_long = False

    def feed(self, chunk: bytes) -> list[Line]:
        """The lines that these bytes bring to their end."""
        found: list[Line] = []
        for byte in chunk:
            if byte in ENDS:
                found += self._end()
            elif len(self._rest) < LONGEST:
                self._rest.append(byte)
            else:
                self._is_too_long = True
        return found

    def _end(self) -> list[Line]:
        raw, too_long = bytes(self._rest), self._is_too_long
        self._rest.clear()
        self._is_too_long = False
        text = plain(raw)
        if too_long:
            return [Line(text, f"longer than {LONGEST} bytes")]
        if not text:
            return []
        return [Line(text, "" if raw.isascii() else "holds bytes that are not ASCII")]

    def break_off(self) -> list[Line]:
        """What had come of a line when the port went away; it is shown and never used."""
        text = plain(bytes(self._rest))
        self._rest.clear()
        self._is_too_long = False
        return [Line(text, "cut off in the middle")] if text else []


def plain(raw: bytes) -> str:
    """Bytes as text: control characters out, what is not ASCII as a replacement mark."""
    return raw.decode("ascii", "replace").translate(_CONTROLS).strip()
