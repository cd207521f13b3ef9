"""What the cells of one column look like: the share that reads as each kind, how many differ, if they run."""

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial

from herd.intake.columns.answers import answer_of, castration_method, read_status
from herd.intake.columns.cellvalues import LONGEST_CELL
from herd.values.bodycondition import read_body_condition
from herd.values.cells import fold, is_missing, strip_guards
from herd.values.classes import read_class
from herd.values.clock import read_time
from herd.values.colours import read_colour
from herd.values.electronic import might_be_electronic
from herd.values.fielddates import DatePrecision, read_date
from herd.values.lengths import LengthUnit, read_length
from herd.values.mass import WeightUnit
from herd.values.metal import might_be_metal
from herd.values.pregnancy import read_pregnancy
from herd.values.problems import Unreadable
from herd.values.tubes import read_tube
from herd.values.visual import read_visual
from herd.values.weights import find_unit, read_weight

_PLAIN_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_SHORT_NUMBER = re.compile(r"[0-9]{1,5}")
_TUBE_CODE = re.compile(r"(?=.*[0-9]{3})(?=.*[A-Za-z])[A-Za-z0-9\-]{6,16}|[0-9]{8,12}")
_TAG_ONLY_COLOURS = frozenset({"yellow", "orange", "blue", "green", "pink", "purple"})
_LONGEST_TAG = 8
_MOST_TRIED = 400
_SAYS_LITTLE = frozenset("yes no y n + - 0 1 x true false".split())  # noqa: SIM905
_DATE_CODES_STILL_DATES = frozenset({"ambiguous_order", "impossible", "no_year", "out_of_range"})
_THREE_PARTS = re.compile(r"[0-9]{1,4}[/.\- ][0-9]{1,2}[/.\- ][0-9]{1,4}(?:[T ,].*)?")


@dataclass(frozen=True, slots=True)
class CellEvidence:
    """The evidence of one column's cells.

    `filled` counts the cells with a value that were tried, `distinct` how many differ; `shares` gives each
    kind the share (0 to 1) of these cells that read as it. `numbers` are the plain numbers among them.
    `is_running` says that they count 1, 2, 3 without a gap; `days` counts the different days written.
    """

    filled: int
    distinct: int
    shares: dict[str, float]
    numbers: tuple[Decimal, ...]
    has_fractions: bool = False
    has_leading_zeros: bool = False
    is_running: bool = False
    says_little: bool = False
    has_tag_colours: bool = False
    one_length: bool = False
    days: int = 0

    @property
    def uniqueness(self) -> float:
        """The share of distinct values among the filled cells, 0 for an empty column."""
        return self.distinct / self.filled if self.filled else 0.0


def weigh_cells(cells: list[str], today: date) -> CellEvidence:
    """The evidence of a column's cells: of up to 400 filled ones, spread evenly over the column."""
    inners = [strip_guards(cell) for cell in cells if cell and not cell.isspace()]
    every = [inner for inner in inners if inner and (inner in "-?" or not is_missing(inner))]
    filled = every[:: max(1, len(every) // _MOST_TRIED)]
    counts = Counter(filled)
    total = len(filled)
    tried = [value for value in counts if len(value) <= LONGEST_CELL]
    tests = _TESTS | {
        "date": partial(_is_date, today=today),
        "date_time": partial(_is_instant, today=today),
        "any_date": partial(_reads_as_date, today=today),
        "answer": partial(_is_answer, today=today),
    }
    shares = {
        kind: sum(counts[value] for value in tried if test(value)) / total if total else 0.0
        for kind, test in tests.items()
    }
    plain = [value for value in filled if _PLAIN_NUMBER.fullmatch(value) and len(value) < 12]
    folded = {fold(value) for value in counts}
    lengths = Counter(map(len, filled))
    return CellEvidence(
        filled=total,
        distinct=len(counts),
        shares=shares,
        numbers=tuple(Decimal(value.replace(",", ".")) for value in plain),
        has_fractions=any("." in value or "," in value for value in plain),
        has_leading_zeros=any(value.startswith("0") and value[1:].isdigit() for value in plain),
        is_running=_runs(every),
        says_little=folded <= _SAYS_LITTLE,
        has_tag_colours=any(_colour(value) in _TAG_ONLY_COLOURS for value in tried),
        days=len({re.split("[T ]", value)[0] for value in tried if _is_date(value, today=today)}),
        one_length=bool(lengths) and lengths.most_common(1)[0][1] >= 0.9 * total,
    )


def _runs(filled: list[str]) -> bool:
    """Whether the cells count 1, 2, 3 (or 0, 1, 2) line by line; three at least."""
    if len(filled) < 3 or filled[0] not in ("0", "1", "01", "001", "0001"):
        return False
    start = int(filled[0])
    return all(value.isdecimal() and int(value) == start + place for place, value in enumerate(filled))


def _reads(value: str, read: Callable[[str], object]) -> bool:
    try:
        read(value)
    except Unreadable:
        return False
    return True


def _is_date(value: str, *, today: date) -> bool:
    if _PLAIN_NUMBER.fullmatch(value) and len(value) != 8:
        return False
    return _reads_as_date(value, today=today)


def _reads_as_date(value: str, *, today: date) -> bool:
    try:
        read_date(value, None, today=today)
    except Unreadable as refusal:
        return refusal.code in _DATE_CODES_STILL_DATES and bool(_THREE_PARTS.fullmatch(value))
    return True


def _is_answer(value: str, *, today: date) -> bool:
    return answer_of(value) is not None or bool(castration_method(value)) or _is_date(value, today=today)


def _is_instant(value: str, *, today: date) -> bool:
    if ":" not in value:
        return False
    try:
        return read_date(value, None, today=today).precision is DatePrecision.INSTANT
    except Unreadable as refusal:
        return refusal.code == "ambiguous_order"


def _is_visual(value: str) -> bool:
    if not any(mark.isdigit() for mark in value):
        return False
    try:
        return len(read_visual(value).number) <= _LONGEST_TAG and not might_be_metal(value)
    except Unreadable:
        return False


def _is_weight(value: str) -> bool:
    try:
        return 15 <= read_weight(value, WeightUnit.LB).weight.pounds <= 3500
    except Unreadable:
        return False


def _is_named_weight(value: str) -> bool:
    return find_unit(value) is not None and _is_weight(value)


def _is_called_pregnancy(value: str) -> bool:
    return not _PLAIN_NUMBER.fullmatch(value) and _reads(value, read_pregnancy)


def _is_tube(value: str) -> bool:
    fits = _TUBE_CODE.fullmatch(value) and not might_be_metal(value) and not might_be_electronic(value)
    return bool(fits) and _reads(value, read_tube)


def _is_length(value: str, *, key: str) -> bool:
    return any(_reads(value, partial(read_length, key=key, default=unit)) for unit in LengthUnit)


def _is_days(value: str) -> bool:
    return bool(re.fullmatch(r"[0-9]{1,3}", value)) and int(value) <= 400


def _colour(value: str) -> str:
    try:
        return read_colour(value)
    except Unreadable:
        return ""


_TESTS: dict[str, Callable[[str], bool]] = {
    "eid": might_be_electronic,
    "vid": _is_visual,
    "short_number": lambda value: bool(_SHORT_NUMBER.fullmatch(value)),
    "metal": might_be_metal,
    "tube_code": _is_tube,
    "tube": partial(_reads, read=read_tube),
    "time": partial(_reads, read=read_time),
    "animal_class": partial(_reads, read=read_class),
    "called_pregnancy": _is_called_pregnancy,
    "pregnancy": partial(_reads, read=read_pregnancy),
    "vid_colour": lambda value: bool(_colour(value)),
    "weight": _is_weight,
    "named_weight": _is_named_weight,
    "weight_unit": lambda value: not any(mark.isdigit() for mark in value) and find_unit(value) is not None,
    "body_condition": partial(_reads, read=read_body_condition),
    "hip_height": partial(_is_length, key="height"),
    "scrotal": partial(_is_length, key="circumference"),
    "days": _is_days,
    "number_like": lambda value: might_be_electronic(value) or might_be_metal(value) or _is_visual(value),
    "word": lambda value: sum(mark.isalpha() for mark in value) >= 3,
    "status": partial(_reads, read=read_status),
}
