"""Cells on their way into a spreadsheet: what one would run or change there stands behind an apostrophe."""

import re
from datetime import date, datetime
from decimal import Decimal

# A cell that begins with one of these may be run as a formula (OWASP, "CSV Injection").
FORMULA = re.compile(r"^\s*[=+\-@\t\r\n＝＋－＠]")
# What a spreadsheet would turn into another number or a day: long numbers, leading zeros, 12E5, 3-14, MAR 1.
CHANGED = re.compile(
    r"\d{12,}|0\d+|\d+(?:\.\d+)?E[+-]?\d+|\d{1,4}[-/]\d{1,4}(?:[-/]\d{1,4})?"
    r"|\d{0,2}[ -]?(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[ -]?\d{0,4}",
    re.IGNORECASE,
)
CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")


def guarded(cell: str | int | Decimal | date | datetime | None) -> str:
    """Return a cell as CSV keeps it: text that a spreadsheet would run or change stands behind an apostrophe."""
    if cell is None:
        return ""
    if not isinstance(cell, str):
        return cell.isoformat(sep=" ") if isinstance(cell, datetime) else str(cell)
    text = CONTROLS.sub(" ", cell)
    return f"'{text}" if FORMULA.match(text) or CHANGED.fullmatch(text) else text


def unguarded(text: str) -> str:
    """Return the text that `guarded` was given: the apostrophe goes where it had put one."""
    return text[1:] if text.startswith("'") and guarded(text[1:]) == text else text
