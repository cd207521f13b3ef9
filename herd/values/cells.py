"""What surrounds a value in a cell: guards, quotes, invisible characters and the words for nothing."""

import re
import unicodedata

_SPACES = "\t\n\v\f\r\x85\xa0\u1680\u2028\u2029\u202f\u205f\u3000" + "".join(map(chr, range(0x2000, 0x200B)))
_INVISIBLE = (
    [chr(point) for point in range(0x20)]
    + [chr(point) for point in range(0x7F, 0xA0)]
    + list(
        "\xad\u180e\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff"
    )
)
_CLEANED: dict[int, str | None] = {ord(mark): None for mark in _INVISIBLE} | {
    ord(mark): " " for mark in _SPACES
}
_FORMULA = re.compile(r'=\s*"(.*)"\s*')
_QUOTES = {('"', '"'), ("'", "'"), ("\u201c", "\u201d"), ("\u2018", "\u2019"), ("\u00ab", "\u00bb")}
_APOSTROPHES = ("'", "\u2019")
_AIM = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_MISSING = frozenset(
    {"", "-", "--", "\u2013", "\u2014", "n/a", "na", "nan", "none", "null", ".", "?", "nil", "unknown", "unk"}
)


def strip_guards(text: str) -> str:
    """The value inside a cell.

    Takes away control characters, zero-width marks and the byte order mark, turns every kind of space into a
    plain one, trims, and opens text guards: a leading apostrophe, ="...", outer quotes.
    """
    if text.isascii() and text.isalnum():
        return text
    inner = text.translate(_CLEANED).strip()
    while True:
        opened = _without_one_guard(inner)
        if opened == inner:
            return inner
        inner = opened


def _without_one_guard(text: str) -> str:
    formula = _FORMULA.fullmatch(text)
    if formula:
        return formula[1].strip()
    if len(text) > 1 and (text[0], text[-1]) in _QUOTES:
        return text[1:-1].strip()
    if len(text) > 1 and text[0] in _APOSTROPHES:
        return text[1:].strip()
    return text


def strip_scanner_prefix(text: str) -> str:
    """The text without a barcode symbology identifier such as ]C1 or ]d2 (ISO/IEC 15424, from memory)."""
    return text[3:] if _AIM.match(text) else text


def is_missing(text: str) -> bool:
    """Whether the cell says that there is no value: empty, a dash, n/a, none, unknown and the like."""
    return strip_guards(text).casefold() in _MISSING


def fold(text: str) -> str:
    """The text for looking up words: no guards, no accents, lower case, single spaces."""
    plain = unicodedata.normalize("NFKD", strip_guards(text)).casefold()
    bare = "".join(mark for mark in plain if not unicodedata.combining(mark))
    return " ".join(bare.split())
