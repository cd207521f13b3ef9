"""Codes of sample tubes: opaque text from a scanner, kept as it is."""

import re

from herd.values.cells import is_missing, strip_guards, strip_scanner_prefix
from herd.values.chipcode import ElectronicNumber
from herd.values.damage import is_scientific, refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown

_SHORTEST, _LONGEST = 4, 20
_FLOAT = re.compile(r"[0-9]+\.0+")
_SEPARATORS = re.compile(r"[ ._/\-]+")


def read_tube(text: str) -> str:
    """The tube code in a cell, 4 to 20 characters, case and zeros kept; raises Unreadable.

    An electronic number in the place of a tube code is refused: the wrong barcode was scanned.
    """
    code = strip_guards(strip_scanner_prefix(strip_guards(text)))
    if is_missing(code):
        raise Unreadable(text, "empty", "The tube code is empty.")
    refuse_spreadsheet_marks(code)
    if is_scientific(code) or _FLOAT.fullmatch(code):
        reason = f"{shown(text)} was turned into a number by a spreadsheet; export the tube column as text."
        raise Unreadable(text, "spreadsheet_number", reason)
    if _is_electronic(_SEPARATORS.sub("", code)):
        reason = f"{shown(text)} is an electronic number; the tag was scanned in place of the tube."
        raise Unreadable(text, "electronic_number_here", reason)
    if len(code) < _SHORTEST:
        raise Unreadable(
            text, "too_short", f"{shown(text)} is shorter than the {_SHORTEST} characters of a tube."
        )
    if len(code) > _LONGEST:
        raise Unreadable(
            text, "too_long", f"{shown(text)} is longer than the {_LONGEST} characters of a tube."
        )
    return code


def _is_electronic(digits: str) -> bool:
    if len(digits) != 15:
        return False
    try:
        ElectronicNumber.from_digits(digits)
    except Unreadable:
        return False
    return True
