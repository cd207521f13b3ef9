"""Telling one-byte encodings apart by where their letters would stand in words."""

import unicodedata
from functools import cache

_OFTEN = frozenset("äöüßÄÖÜéèêëàâáãåæçîïíìñóòôõøœúùûÉÈÀÂÁÅÆÇÍÑÓÔÕØÚ€°²³½¼¾µ–—‘’“”„•…«»§£\u00a0ºª¿¡®©×±")
_NEVER_AFTER_LETTERS = frozenset("§£€«“‘„¿¡©±½¼¾•")
_NEVER_BEFORE_LETTERS = frozenset("£€²³¹¯±½¼¾")
_LETTERS_IN_A_ROW = 3


def plausibility(content: bytes, encoding: str) -> float:
    """How well the signs beyond ASCII stand where they stand, from -1 to 1, if the bytes are of this encoding."""
    try:
        text = content.decode(encoding)
    except (UnicodeDecodeError, LookupError):
        return -1.0
    marks = [_mark(*signs) for signs in zip(" " + text, text, text[1:] + " ", strict=False) if ord(signs[1]) > 127]
    runs = sum(1 for signs in zip(text, text[1:], text[2:], strict=False) if all(map(_is_foreign_latin, signs)))
    return (sum(marks) - _LETTERS_IN_A_ROW * runs) / max(1, len(marks))


def _mark(before: str, sign: str, after: str) -> float:
    if not sign.isalpha():
        return _mark_of_other(before, sign, after)
    if not _is_latin(sign):
        beside = [one for one in (before, after) if one.isalpha()]
        return 0.8 if beside and not any(map(_is_latin, beside)) else -1.0
    if before.islower() and sign.isupper():
        return -1.0
    if sign.isupper() and before.isalpha() and after.islower():
        return -1.0
    if sign.islower() and before.isupper() and after.isupper():
        return -1.0
    return 1.0 if sign in _OFTEN else 0.3


def _mark_of_other(before: str, sign: str, after: str) -> float:
    """Signs that are no letters stand between words or at figures; the apostrophe alone stands within."""
    if before.isalpha() and (sign in _NEVER_AFTER_LETTERS or (after.isalpha() and sign not in "’-")):
        return -1.0
    if after.isalpha() and sign in _NEVER_BEFORE_LETTERS:
        return -1.0
    is_closed_before_opened = sign in "’”" and after.isalpha() and not before.isalpha()
    return 0.95 if sign in _OFTEN and not is_closed_before_opened else -0.3


def _is_foreign_latin(sign: str) -> bool:
    return ord(sign) > 127 and sign.isalpha() and _is_latin(sign)


@cache
def _is_latin(sign: str) -> bool:
    return unicodedata.name(sign, "").startswith("LATIN")
