"""The hexadecimal writings of an electronic number, and how to tell the two bit orders apart."""

import re

from herd.values.chipcode import ElectronicNumber
from herd.values.prefixes import PrefixKind, meaning_of
from herd.values.problems import Unreadable, shown

_WORD = re.compile(r"[0-9A-Fa-f]{16}")
DOT_HEX = re.compile(r"([0-9A-Fa-f]{3})\.([0-9A-Fa-f]{10})")


def reversed_word(word: int) -> int:
    """The 64-bit code with its bits in the opposite order, as it is sent on air."""
    return int(f"{word:064b}"[::-1], 2)


def dotted_hex(number: ElectronicNumber) -> str:
    """The number as three hex digits of prefix, a dot and ten of national number."""
    return f"{number.prefix:03X}.{number.national:010X}"


def from_dotted_hex(text: str) -> ElectronicNumber:
    """The number of a dotted hex writing such as 3E7.02DFDC1C35; raises Unreadable."""
    parts = DOT_HEX.fullmatch(text)
    if not parts:
        raise Unreadable(text, "wrong_length", f"{shown(text)} is not three and ten hexadecimal characters.")
    return ElectronicNumber(int(parts[1], 16), int(parts[2], 16))


def from_hex_word(text: str) -> tuple[ElectronicNumber, bool]:
    """The number of 16 hex characters, and whether they stood in transmit order (animal flag rightmost).

    Both orders are tried. When both give a lawful code, one wins only if it has at most one unusual field and
    the other at least two more; a code with at most one unusual field is thus never taken for another.
    Raises Unreadable: "not_a_code" when neither order is lawful, "ambiguous_word" when nothing decides.
    """
    if not _WORD.fullmatch(text):
        raise Unreadable(text, "wrong_length", f"{shown(text)} is not 16 hexadecimal characters.")
    word = int(text, 16)
    left, right = _lawful(word), _lawful(reversed_word(word))
    if left is not None and (right is None or left.word == right.word):
        return left, False
    if right is None:
        raise Unreadable(text, "not_a_code", f"{shown(text)} holds no lawful tag code in either bit order.")
    if left is None:
        return right, True
    left_oddities, right_oddities = oddities(left), oddities(right)
    if left_oddities <= 1 and right_oddities >= left_oddities + 2:
        return left, False
    if right_oddities <= 1 and left_oddities >= right_oddities + 2:
        return right, True
    raise Unreadable(
        text,
        "ambiguous_word",
        f"{shown(text)} could be {left.digits} or {right.digits}, depending on the bit order.",
    )


def oddities(number: ElectronicNumber) -> int:
    """How many fields of the code differ from a plain animal tag of a known prefix."""
    unusual = (
        not number.animal,
        number.retag,
        number.user_information,
        number.visual_start,
        number.advanced,
        number.data_block,
        meaning_of(number.prefix).kind is PrefixKind.UNASSIGNED,
    )
    return sum(bool(field) for field in unusual)


def _lawful(word: int) -> ElectronicNumber | None:
    try:
        return ElectronicNumber.from_word(word)
    except Unreadable:
        return None
