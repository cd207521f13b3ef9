"""Premises numbers of the United States: seven checked characters, or a state's own."""

import re
from dataclasses import dataclass
from typing import Literal

from herd.values.cells import strip_guards, strip_scanner_prefix
from herd.values.damage import is_scientific, refuse_spreadsheet_marks
from herd.values.problems import Caution, Unreadable, shown

_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_SEPARATORS = re.compile(r"[ ._/\-]+")
_SIX = re.compile(r"[0-9A-Z]{6}")
_NUMBER = re.compile(r"[0-9A-Z]{6,8}")
_LEADING_O = Caution("leading_letter_o", "The number starts with the letter O; two zeros are more usual.")


@dataclass(frozen=True, slots=True)
class PremisesNumber:
    """A premises number in upper case: `kind` is PIN (checked) or LID (a state's own, not checked)."""

    number: str
    kind: Literal["PIN", "LID"]
    cautions: tuple[Caution, ...] = ()


def check_character(six: str) -> str:
    """The check character of six characters 0-9 and A-Z; raises Unreadable for anything else.

    Source: ISO 7064, system Mod 37,36, as set out in the guide to the AAVLD/USAHA eCVI data standard,
    appendix A.
    """
    characters = six.upper()
    if not _SIX.fullmatch(characters):
        raise Unreadable(six, "wrong_length", f"{shown(six)} is not six letters and digits.")
    product = 36
    for character in characters:
        total = (product + _ALPHABET.index(character)) % 36 or 36
        product = 2 * total % 37
    return _ALPHABET[(37 - product) % 36]


def read_premises(text: str) -> PremisesNumber:
    """The premises number in a cell; raises Unreadable when a 7-character number fails its check character.

    Numbers of 6 or 8 characters are a state's own and are taken as written (eCVI standard 3.1, PremId).
    """
    inner = strip_scanner_prefix(strip_guards(text))
    if not inner:
        raise Unreadable(text, "empty", "The premises number is empty.")
    refuse_spreadsheet_marks(inner)
    if is_scientific(inner):
        raise Unreadable(
            text, "spreadsheet_number", f"{shown(inner)} was turned into a number by a spreadsheet."
        )
    number = _SEPARATORS.sub("", inner).upper()
    if not _NUMBER.fullmatch(number):
        raise Unreadable(
            text, "not_premises", f"{shown(inner)} is not a premises number of 6 to 8 characters."
        )
    if len(number) != 7:
        return PremisesNumber(number, "LID")
    expected = check_character(number[:6])
    if number[6] != expected:
        reason = f"{shown(inner)} was mistyped: its last character should be {expected}."
        raise Unreadable(text, "check_character", reason)
    return PremisesNumber(number, "PIN", (_LEADING_O,) if number.startswith("O") else ())
