"""Numbers of official metal ear tags in the United States (National Uniform Eartagging System)."""

import re
from dataclasses import dataclass
from typing import Literal

from herd.values.cells import strip_guards, strip_scanner_prefix
from herd.values.damage import is_scientific, refuse_spreadsheet_marks
from herd.values.problems import Caution, Unreadable, shown
from herd.values.states import POSTAL_CODES, state_name

_SEPARATORS = re.compile(r"[ ._/\-\u2010-\u2015\u2212]+")
_NINE = re.compile(r"([0-9]{2}|[A-Z]{2})([A-Z]{3})([0-9]{4})")
_EIGHT = re.compile(r"([0-9]{2})([A-Z]{2})([0-9]{4})")
_TO_DIGIT = str.maketrans("OIL", "011")
_TO_LETTER = str.maketrans("01", "OI")
_BACK_TAG = Caution(
    "may_be_back_tag", "Two digits, two letters and four digits is also the pattern of a back tag."
)


@dataclass(frozen=True, slots=True)
class MetalTag:
    """A metal tag number in upper case without separators; `state_hint` may be empty and decides nothing."""

    number: str
    pattern: Literal["NUES9", "NUES8"]
    state_hint: str
    cautions: tuple[Caution, ...] = ()


def read_metal(text: str) -> MetalTag:
    """The metal tag number in a cell; raises Unreadable, suggesting a number where O and 0 were swapped.

    Patterns: eCVI Data Exchange Standard 3.1 (AAVLD/USAHA), elements NUES9 and NUES8.
    """
    inner = strip_scanner_prefix(strip_guards(text))
    if not inner:
        raise Unreadable(text, "empty", "The metal tag number is empty.")
    refuse_spreadsheet_marks(inner)
    if is_scientific(inner):
        raise Unreadable(
            text, "spreadsheet_number", f"{shown(inner)} was turned into a number by a spreadsheet."
        )
    number = _SEPARATORS.sub("", inner).upper()
    nine = _NINE.fullmatch(number)
    if nine:
        if nine[1].isalpha() and nine[1] not in POSTAL_CODES:
            raise Unreadable(
                text, "unknown_state", f"{shown(inner)} starts with {nine[1]}, which is no state."
            )
        return MetalTag(number, "NUES9", state_name(nine[1]))
    eight = _EIGHT.fullmatch(number)
    if eight:
        return MetalTag(number, "NUES8", state_name(eight[1]), (_BACK_TAG,))
    raise _refusal(text, inner, number)


def might_be_metal(text: str) -> bool:
    """Whether a cell has the pattern of a metal tag number; cheap, raises nothing."""
    if not 8 <= len(text) <= 24:
        return False
    number = _SEPARATORS.sub("", strip_guards(text)).upper()
    return bool(_NINE.fullmatch(number) or _EIGHT.fullmatch(number))


def _refusal(text: str, inner: str, number: str) -> Unreadable:
    if len(number) == 15 and number.isascii() and number.isdigit():
        reason = f"{shown(inner)} is an electronic number, not a metal tag number."
        return Unreadable(text, "electronic_number_here", reason)
    if len(number) == 10 and number[0].isalpha() and _NINE.fullmatch(number[1:]):
        reason = f"{shown(inner)} has a letter too many in front; without it, it would be {number[1:]}."
        return Unreadable(text, "extra_letter", reason)
    suggestion = _swapped(number)
    if suggestion:
        reason = f"{shown(inner)} mixes up letters and digits; it may be {suggestion}."
        return Unreadable(text, "mistyped_character", reason)
    reason = (
        f"{shown(inner)} is not a metal tag number: two for the state, two or three letters, four digits."
    )
    return Unreadable(text, "not_metal", reason)


def _swapped(number: str) -> str:
    if len(number) not in (8, 9):
        return ""
    letters = number[2:-4].translate(_TO_LETTER)
    for state in (number[:2], number[:2].translate(_TO_DIGIT)):
        candidate = state + letters + number[-4:].translate(_TO_DIGIT)
        if _NINE.fullmatch(candidate) or _EIGHT.fullmatch(candidate):
            return candidate
    return ""
