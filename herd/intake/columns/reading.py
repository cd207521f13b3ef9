"""Reading the rows of a field file: every cell to a value by its column's kind, or to a problem in words."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from herd.intake.columns.cellvalues import (
    CELL_READERS,
    ColumnContext,
    context_of,
    read_weighing,
    refuse_long,
)
from herd.intake.columns.clashes import settle_clash
from herd.intake.columns.guesses import ColumnGuess
from herd.intake.columns.rowparts import JOINED_KINDS, Part, RowParts, join_parts, problem_of
from herd.values.cells import is_missing
from herd.values.electronic import read_electronic
from herd.values.mass import WeightUnit
from herd.values.problems import Caution, Unreadable, shown
from herd.values.weights import find_unit

_MOST_KEPT = 8192
_NOT_REPEATED = frozenset({"eid", "new_eid", "tube", "metal"})
_NESTED = frozenset({"animal_class", "born", "dam", "sire", "calf", "status"})
_GIVES = {
    "vid": ("vid", "vid_colour"),
    "new_vid": ("new_vid", "new_vid_colour"),
    "date": ("day", "day_precision", "time"),
    "date_time": ("day", "day_precision", "time"),
    "time": ("day", "day_precision", "time"),
}
_HANDED_OVER = {"vid": "eid", "new_vid": "new_eid"}
_Outcome = tuple[dict[str, Any] | None, dict[str, Any] | None, tuple[dict[str, str], ...]]


@dataclass(slots=True)
class RowReading:
    """What was read in one row.

    `readings` are plain JSON values by kind; `problems` the cells that could not be read: a list of
    {"column", "kind", "value", "code", "reason"}; `cautions` a list of {"column", "code", "text"}.
    """

    readings: dict[str, Any] = field(default_factory=dict)
    problems: list[dict[str, Any]] = field(default_factory=list)
    cautions: list[dict[str, str]] = field(default_factory=list)


@dataclass(slots=True)
class _Column:
    """A column made ready for reading; `seen` keeps the outcomes of values that repeat."""

    index: int
    kind: str
    name: str
    context: ColumnContext
    may_clash: bool = False
    seen: dict[str, _Outcome] = field(default_factory=dict)
    seen_in: dict[WeightUnit, dict[str, _Outcome]] = field(default_factory=dict)


class RowReader:
    """Reads the rows of one file whose columns are known.

    `columns` are guesses or their stored dicts; `default_unit` is "lb" or "kg"; times written with an offset
    are moved to the time zone `zone_name`. Raises ValueError for settings that are none.
    """

    def __init__(
        self,
        columns: Sequence[ColumnGuess | dict[str, Any]],
        *,
        default_unit: str,
        today: date,
        zone_name: str,
    ) -> None:
        unit, zone = WeightUnit(default_unit), ZoneInfo(zone_name)
        self._single: list[_Column] = []
        self._weights: list[_Column] = []
        self._units: list[_Column] = []
        self._joined: list[_Column] = []
        given: set[str] = set()
        for stored in (one.as_dict() if isinstance(one, ColumnGuess) else one for one in columns):
            kind, index = stored["kind"], stored["index"]
            context = context_of(stored.get("settings") or {}, default_unit=unit, today=today, zone=zone)
            name = (stored.get("header") or "").strip() or f"column {index + 1}"
            column = _Column(index, kind, name, context)
            if kind in CELL_READERS:
                keys = _GIVES.get(kind, (kind,))
                column.may_clash = not given.isdisjoint(keys)
                given.update(keys)
                self._single.append(column)
            elif kind == "weight":
                self._weights.append(column)
            elif kind == "weight_unit":
                self._units.append(column)
            elif kind in JOINED_KINDS:
                self._joined.append(column)
        self._has = frozenset(column.kind for column in self._joined)

    def read(self, cells: Sequence[str]) -> RowReading:
        """The values of one row; a cell that can't be read becomes a problem and never stops the row."""
        row = RowReading()
        count = len(cells)
        for column in self._single:
            if column.index < count and (text := cells[column.index]):
                _read_single(row, column, text)
        if self._weights:
            self._read_weights(row, cells)
        if self._joined:
            self._join(row, cells)
        if row.problems:
            self._hand_over(row, cells)
        if "time" in row.readings and row.readings.get("day_precision") == "day":
            row.readings["day_precision"] = "instant"
        return row

    def _read_weights(self, row: RowReading, cells: Sequence[str]) -> None:
        unit = self._unit_of(row, cells) if self._units else None
        weights = []
        for column in self._weights:
            if column.index >= len(cells) or not (text := cells[column.index]):
                continue
            seen = column.seen if unit is None else column.seen_in.setdefault(unit, {})
            outcome = seen.get(text)
            if outcome is None:
                outcome = _weigh_once(column, text, unit, seen)
            found, problem, cautions = outcome
            if found is not None:
                weights.append(dict(found))
            if problem is not None:
                row.problems.append(problem)
            row.cautions.extend(cautions)
        if weights:
            row.readings["weights"] = weights

    def _unit_of(self, row: RowReading, cells: Sequence[str]) -> WeightUnit | None:
        """The unit in the row's own unit column; None when empty."""
        for column in self._units:
            text = cells[column.index] if column.index < len(cells) else ""
            if is_missing(text):
                continue
            unit = find_unit(text)
            if unit is not None:
                return unit
            reason = f"{shown(text)} is not a unit of weight used here: lb or kg."
            refusal = Unreadable(text, "unknown_unit", reason)
            row.problems.append(problem_of(column.name, column.kind, text, refusal))
        return None

    def _join(self, row: RowReading, cells: Sequence[str]) -> None:
        parts: dict[str, list[Part]] = {}
        for column in self._joined:
            text = cells[column.index] if column.index < len(cells) else ""
            if not text or (is_missing(text) and not _is_sign(column, text)):
                continue
            parts.setdefault(column.kind, []).append(Part(column.kind, column.name, text, column.context))
        if parts:
            join_parts(RowParts(parts, self._has, row.readings, row.problems))

    def _hand_over(self, row: RowReading, cells: Sequence[str]) -> None:
        """Take an electronic number in the place of a visual tag, where the row has no other."""
        for problem in list(row.problems):
            target = _HANDED_OVER.get(problem["kind"])
            if target is None or problem["code"] != "electronic_number_here" or self._is_filled(target, cells):
                continue
            if target in row.readings:
                continue
            try:
                read = read_electronic(problem["value"])
            except Unreadable as refusal:
                problem.update(code=refusal.code, reason=refusal.reason)
                continue
            row.readings[target] = read.number.digits
            row.problems.remove(problem)
            moved = Caution("electronic_number_moved", f"{read.number.digits} stood in the place of a visual tag.")
            row.cautions.extend(_as_dicts(problem["column"], (moved, *read.cautions)))

    def _is_filled(self, kind: str, cells: Sequence[str]) -> bool:
        return any(
            column.kind == kind and column.index < len(cells) and not is_missing(cells[column.index])
            for column in self._single
        )


def _read_single(row: RowReading, column: _Column, text: str) -> None:
    """Add one cell to the row; what is kept for the next rows is copied where it could be changed."""
    outcome = column.seen.get(text)
    found, problem, cautions = _read_once(column, text) if outcome is None else outcome
    if found is not None:
        if column.may_clash:
            found = settle_clash(row, column.kind, column.name, text, found)
        if column.kind in _NESTED:
            found = {key: dict(value) for key, value in found.items()}
        row.readings.update(found)
    if problem is not None:
        row.problems.append(problem)
    if cautions:
        row.cautions.extend(cautions)


def _is_sign(column: _Column, text: str) -> bool:
    """Whether a dash or question mark is a called result in a column that writes + for pregnant."""
    return column.kind == "pregnancy" and bool(column.context.settings.get("signs")) and text.strip() in ("-", "?")


def _as_dicts(column: str, cautions: Sequence[Caution]) -> tuple[dict[str, str], ...]:
    return tuple({"column": column, "code": one.code, "text": one.text} for one in cautions)


def _keep(seen: dict[str, _Outcome], text: str, outcome: _Outcome) -> _Outcome:
    if len(seen) >= _MOST_KEPT:
        seen.clear()
    seen[text] = outcome
    return outcome


def _read_once(column: _Column, text: str) -> _Outcome:
    try:
        refuse_long(text)
        found, cautions = CELL_READERS[column.kind](text, column.context)
    except Unreadable as refusal:
        if is_missing(text):
            return _keep(column.seen, text, (None, None, ()))
        return None, problem_of(column.name, column.kind, text, refusal), ()
    outcome = (found, None, _as_dicts(column.name, cautions))
    return outcome if column.kind in _NOT_REPEATED else _keep(column.seen, text, outcome)


def _weigh_once(column: _Column, text: str, unit: WeightUnit | None, seen: dict[str, _Outcome]) -> _Outcome:
    try:
        refuse_long(text)
        found, cautions = read_weighing(text, column.context, unit)
    except Unreadable as refusal:
        # A row of dashes is how a scale shows an error, so only what it refuses as empty is missing.
        if is_missing(text):
            return _keep(seen, text, (None, None, ()))
        return None, problem_of(column.name, "weight", text, refusal), ()
    return _keep(seen, text, (found, None, _as_dicts(column.name, cautions)))
