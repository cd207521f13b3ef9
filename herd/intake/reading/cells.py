"""What a cell looks like from outside: its kind and its shape, without turning it into a value."""

import re
from functools import lru_cache

EMPTY, NUMBER, DATE, CODE, TEXT, MISSING = "empty", "number", "date", "code", "text", "missing"
TYPED = frozenset({NUMBER, DATE})

_NUMBER = re.compile(
    r"[-+(]?\s?(?:[$€£¥]\s?|[A-Z]{3} )?[-+]?"
    r"(?:\d{1,3}(?:[ ,.'\u00a0]\d{3})+|\d+)?(?:[.,]\d+)?(?:[eE][-+]?\d+)?\)?"
    r"\s?(?:%|[$€£¥]|°?[CF]|kg|lbs?|cm|mm|in|ft|g|m|t|[A-Z]{3})?"
)
_TIME = r"\d{1,2}[:.h]\d{2}(?:[:.]\d{2}(?:[.,]\d+)?)?\s?(?:[aApP]\.?[mM]\.?)?(?:\s?(?:Z|UTC|[+-]\d{2}:?\d{2}))?"
_DAY = (
    r"(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/. ]\d{1,2}[-/. ]\d{2,4}"
    r"|\d{1,2}\.?[-/ ]?[^\W\d_]{3,9}\.?[-/, ]{0,2}\d{2,4}|[^\W\d_]{3,9}\.? \d{1,2},? \d{4}|\d{4}-W?\d{2})"
)
_DATE = re.compile(rf"(?:[^\W\d_]{{2,9}}\.?,? )?(?:{_DAY}(?:[T ]\s?{_TIME})?|{_TIME}|\d{{8}}T\d{{4,6}}Z?)")
_CODE = re.compile(r"(?=.*\d)[^\s,;|\t\"']+")
_MISSING = frozenset({"-", "--", "n/a", "na", "nan", "null", "none", "?", "#n/a", "."})
_GUARD = re.compile(r"=?\"?'?(\d[\d .-]*\d)\"?")
_RULE_SIGNS = frozenset("-=_*~")
_BESIDE_RULES = frozenset("+#.|: 	")
_RUNS = ((re.compile(r"[^\W\d_]*[a-zß-öø-ÿ][^\W\d_]*"), "a"), (re.compile(r"\d+"), "9"))


@lru_cache(maxsize=65_536)
def kind_of(cell: str) -> str:
    """The kind of a cell: empty, number, date (or time), code (letters and digits), missing, or text."""
    text = cell.strip()
    if not text:
        return EMPTY
    if text.lower() in _MISSING:
        return MISSING
    if len(text) > 60:
        return TEXT
    if any(sign.isdigit() for sign in text):
        if _DATE.fullmatch(text):
            return DATE
        if _NUMBER.fullmatch(text) or _GUARD.fullmatch(text):
            return NUMBER
        if _CODE.fullmatch(text):
            return CODE
    return TEXT


@lru_cache(maxsize=65_536)
def shape_of(cell: str) -> str:
    """The pattern of a cell: runs of capitals as A, of words as a, of digits as 9, the rest as written."""
    text = cell.strip()[:80]
    for runs, sign in _RUNS:
        text = runs.sub(sign, text)
    return re.sub(r"[^\W\d_a]+", "A", text)


def is_rule(cells: list[str]) -> bool:
    """True when the cells are only a ruled line, such as ----- or =====."""
    signs = set().union(*cells)
    if not signs & _RULE_SIGNS or not signs <= _RULE_SIGNS | _BESIDE_RULES:
        return False
    return any(sign * 3 in cell for cell in cells for sign in _RULE_SIGNS)


def filled(cells: list[str]) -> int:
    """How many of the cells hold something."""
    return sum(1 for cell in cells if cell and not cell.isspace())
