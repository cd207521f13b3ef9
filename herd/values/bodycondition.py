"""Body condition scores of beef cattle, from 1 (emaciated) to 9 (obese) in half steps."""

import re
from decimal import Decimal

from herd.values.cells import is_missing, strip_guards
from herd.values.damage import is_scientific, looks_like_date, refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown

_SCORE = re.compile(r"[0-9]{1,3}(?:[.,][0-9]{1,6})?")
_HALF = Decimal("0.5")


def read_body_condition(text: str) -> Decimal:
    """The score in a cell, 1 to 9 in half steps, with a decimal point or comma; raises Unreadable.

    Source: the nine-point scale of the Beef Improvement Federation guidelines.
    """
    inner = strip_guards(text)
    if is_missing(inner):
        raise Unreadable(text, "empty", "The body condition score is empty.")
    refuse_spreadsheet_marks(inner)
    if looks_like_date(inner) or is_scientific(inner):
        raise Unreadable(text, "spreadsheet_damaged", f"{shown(text)} was changed by a spreadsheet.")
    if not _SCORE.fullmatch(inner):
        raise Unreadable(text, "not_score", f"{shown(text)} is not a body condition score.")
    score = Decimal(inner.replace(",", "."))
    if not 1 <= score <= 9:
        raise Unreadable(text, "out_of_range", f"{shown(text)} is not on the scale from 1 to 9.")
    if score % _HALF:
        raise Unreadable(text, "not_half_step", f"{shown(text)} is finer than half a score.")
    return score.quantize(Decimal("0.1")) if score % 1 else Decimal(int(score))
