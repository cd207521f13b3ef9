"""Results of pregnancy checks as they are called out at the chute."""

import re
from dataclasses import dataclass
from enum import StrEnum

from herd.values.cells import fold, strip_guards
from herd.values.damage import is_scientific, looks_like_date, refuse_spreadsheet_marks
from herd.values.problems import Unreadable, shown

LONGEST_DAYS = 305
_SHORTEST_BARE_DAYS = 20
_DAYS_PER_MONTH = 30.44


class PregnancyResult(StrEnum):
    """What a check found."""

    PREGNANT = "pregnant"
    OPEN = "open"
    RECHECK = "recheck"


@dataclass(frozen=True, slots=True)
class PregnancyReading:
    """A result, with the days of pregnancy or a span of days when called, and the words that say more."""

    result: PregnancyResult
    days: int | None = None
    span: tuple[int, int] | None = None
    note: str = ""


# Words of other languages are dictionary words; the short forms are common practice, no source.
_WORDS = {
    PregnancyResult.OPEN: (
        "open|o|0|opn|not pregnant|not preg|non pregnant|empty|no|n|-|neg|negative|not bred|vacia"
        "|vide|leer|vazia|nicht tragend|non gestante"
    ),
    PregnancyResult.PREGNANT: (
        "pregnant|preg|p|bred|b|yes|y|+|pos|positive|in calf|safe|prenada|gestante|pleine"
        "|tragend|trachtig|prenhe"
    ),
    PregnancyResult.RECHECK: "recheck|re-check|re check|rechk|r|rc|check again|suspect|questionable"
    "|0?|o?|p?|b?|?",
}
_RESULT_OF = {word: result for result, words in _WORDS.items() for word in words.split("|")}
_STAGE_WORDS = frozenset(
    {"late", "early", "heavy", "short bred", "long bred", "short", "long", "mid", "middle"}
)
_CALLED = r"(?:(?:pregnant|preg|bred|p|b|\+)[ :,\-]*)?"
_UNIT = (
    r" ?(d|dy|day|days|dias|jours|tage|w|wk|wks|week|weeks|m|mo|mos|mth|mths|month|months"
    r"|meses|mois|monate)?\.?"
)
_LENGTH = re.compile(rf"{_CALLED}([0-9]{{1,3}}(?:[.,][0-9])?){_UNIT}")
_SPAN = re.compile(rf"{_CALLED}([0-9]{{1,3}}) ?(?:-|\u2013|to) ?([0-9]{{1,3}}){_UNIT}")


def read_pregnancy(text: str) -> PregnancyReading:
    """The result in a cell, days counted from conception; raises Unreadable.

    A bare number of 20 to 305 is taken as days; weeks and months become days (30.44 to the month) and are
    kept in the note. Nothing over 305 days is read (gestation runs 283 days, give or take; Beef Improvement
    Federation).
    """
    inner = strip_guards(text)
    if not inner:
        raise Unreadable(text, "empty", "The pregnancy result is empty.")
    refuse_spreadsheet_marks(inner)
    if looks_like_date(inner) or is_scientific(inner):
        raise Unreadable(text, "spreadsheet_damaged", f"{shown(text)} was changed by a spreadsheet.")
    written = fold(inner)
    if written in _RESULT_OF:
        return PregnancyReading(_RESULT_OF[written], note=inner if written in {"0", "-", "+"} else "")
    stage = re.sub(r"^(?:pregnant|preg|bred|p|b)[ ,:\-]+", "", written)
    if stage in _STAGE_WORDS or written in _STAGE_WORDS:
        return PregnancyReading(PregnancyResult.PREGNANT, note=written)
    return _with_days(text, written)


def _with_days(text: str, written: str) -> PregnancyReading:
    span = _SPAN.fullmatch(written)
    if span:
        low, high = _days(text, span[1], span[3]), _days(text, span[2], span[3])
        if low > high:
            raise Unreadable(text, "impossible", f"{shown(text)} runs backwards.")
        return PregnancyReading(
            PregnancyResult.PREGNANT, span=(low, high), note=_unless_days(written, span[3])
        )
    length = _LENGTH.fullmatch(written)
    if not length:
        raise Unreadable(text, "unknown_result", f"{shown(text)} is not a pregnancy result.")
    days = _days(text, length[1], length[2])
    return PregnancyReading(PregnancyResult.PREGNANT, days=days, note=_unless_days(written, length[2]))


def _days(text: str, digits: str, unit: str | None) -> int:
    amount = float(digits.replace(",", "."))
    if unit is None and (amount < _SHORTEST_BARE_DAYS or amount != int(amount)):
        raise Unreadable(
            text, "unclear_length", f"{shown(text)} does not say whether it counts days or months."
        )
    first = (unit or "d")[0]
    days = round(amount * {"w": 7, "m": _DAYS_PER_MONTH}.get(first, 1))
    if not 0 < days <= LONGEST_DAYS:
        raise Unreadable(text, "impossible", f"{shown(text)} is not a length of pregnancy in cattle.")
    return days


def _unless_days(written: str, unit: str | None) -> str:
    if unit is None:
        return "read as days"
    return written if unit[0] in "wm" else ""
