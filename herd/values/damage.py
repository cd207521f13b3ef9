"""Marks that a spreadsheet leaves on a value it has changed or could not show."""

import re

from herd.values.cells import fold
from herd.values.months import MONTHS
from herd.values.problems import Unreadable, shown

_ERROR_WORDS = frozenset(
    {
        "#N/A", "#NA", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NULL!", "#NUM!", "#SPILL!", "#CALC!", "#NV",
        "#GETTING_DATA", "#BEZUG!", "#WERT!",
    }
)  # fmt: skip
_TOO_NARROW = re.compile(r"#{2,}")
_SCIENTIFIC = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?[eE][+-][0-9]{1,3}|[+-]?[0-9]+[.,][0-9]+[eE][0-9]{1,3}")
_NUMERIC_DATE = re.compile(
    r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}(?:[T ][0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?)?"
    r"|[0-9]{1,2}/[0-9]{1,2}/(?:[0-9]{4}|[0-9]{2})(?: [0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?)?"
    r"|[0-9]{1,2}[.-][0-9]{1,2}[.-][0-9]{4}(?: [0-9]{1,2}:[0-9]{2}(?::[0-9]{2})?)?"
)
_NAMED_DATE = re.compile(r"[0-9]{1,2}-([^\W\d_]{3,10})(?:-[0-9]{2,4})?|([^\W\d_]{3,10})-[0-9]{1,4}")


def refuse_spreadsheet_marks(text: str) -> None:
    """Raises Unreadable when the cell holds an error word or the # signs of a column too narrow to show."""
    if not text.startswith("#"):
        return
    if text.upper() in _ERROR_WORDS:
        raise Unreadable(text, "spreadsheet_error", f"{shown(text)} is a spreadsheet error, not a value.")
    if _TOO_NARROW.fullmatch(text):
        raise Unreadable(
            text,
            "column_too_narrow",
            f"{shown(text)} was shown because the column was too narrow; widen it and export again.",
        )


def is_scientific(text: str) -> bool:
    """Whether the text is a number in scientific notation with a sign or a decimal mark, such as 1.70E+06.

    A bare 17E05 is left alone: E is a year letter.
    """
    return _SCIENTIFIC.fullmatch(text) is not None


def looks_like_date(text: str) -> bool:
    """Whether the text is what a spreadsheet shows for a date: 15-Mar, Mar-15, 2026-03-15, 3/15/2026."""
    if _NUMERIC_DATE.fullmatch(text):
        return True
    named = _NAMED_DATE.fullmatch(text)
    return named is not None and fold(named[1] or named[2]) in MONTHS
