"""Guessing what each column of a field file is, from headings and cells, for the whole file together."""

from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Any

from herd.intake.columns.calfbooks import has_calf_numbers, is_calf_book, names_cow
from herd.intake.columns.dateorders import order_of_dates
from herd.intake.columns.evidence import CellEvidence, weigh_cells
from herd.intake.columns.guesses import ColumnGuess
from herd.intake.columns.headings import Heading, read_heading, words_of
from herd.intake.columns.kinds import COLUMN_KINDS, DATED_KINDS
from herd.intake.columns.marks import decimal_mark
from herd.intake.columns.recipes import apply_recipe, layout_of
from herd.intake.columns.resultfiles import is_result_file
from herd.intake.columns.scoring import Candidate, FileContext, score_column
from herd.intake.columns.sentences import reasons_for, why_unused

__all__ = ["ColumnGuess", "apply_recipe", "guess_columns", "layout_of", "order_of_dates"]

_MANY = frozenset({"note", "unused", "row_number"})
_KEPT_AS_NOTES = frozenset({"product", "vaccine", "result"})
_OWN_NUMBERS = frozenset({"eid", "vid", "metal", "tattoo", "brand", "back_tag"})
_LENGTHS = frozenset({"hip_height", "scrotal"})
_LENGTH_WORDS = {"in": {"in", "inch", "inches"}, "cm": {"cm", "cms", "centimetres", "centimeters"}}
_HIGHEST_INCHES = 79
_OF_COWS = frozenset({"pregnancy", "days_bred", "body_condition"})
_OF_CALVES = frozenset({"born", "animal_class"})
_HEAVIEST_BIRTH = 140


@dataclass(slots=True)
class _Column:
    """One column while the file is being judged."""

    index: int
    heading: Heading
    raw: list[str]
    cells: CellEvidence
    candidates: dict[str, Candidate]
    taken: Candidate | None = None
    dropped: str = ""


def guess_columns(header: list[str], sample: list[list[str]], *, default_unit: str, today: date) -> list[ColumnGuess]:
    """What each column is; `header` is empty for a file without one, and `sample` may be all of its rows.

    `default_unit` is "lb" or "kg", the outfit's. Every kind is given to one column at most, save weights (one
    for each purpose) and notes; a column that can't be told is "unused", with the reason.
    """
    width = max([len(header), *map(len, sample)], default=0)
    texts = [header[index] if index < len(header) else "" for index in range(width)]
    headings = [read_heading(text) for text in texts]
    file = FileContext(
        has_products=any({"product", "vaccine"} & set(one.kinds) for one in headings),
        is_calf_book=is_calf_book(headings),
        has_results=is_result_file(headings),
    )
    columns = []
    for index, heading in enumerate(headings):
        raw = [row[index] for row in sample if index < len(row)]
        cells = weigh_cells(raw, today)
        columns.append(_Column(index, heading, raw, cells, score_column(heading, cells, file)))
    _prefer_tags_first(columns)
    _assign(columns)
    _settle_calves(columns, in_calf_book=file.is_calf_book)
    _own_number_from_relative(columns)
    return [_guess(column, columns, texts[column.index], default_unit, today) for column in columns]


def _prefer_tags_first(columns: list[_Column]) -> None:
    """Where nothing else numbers the rows, the first column that could be tags or weights is the tags."""
    undecided = [one for one in columns if one.heading.is_blank and {"vid", "weight"} <= set(one.candidates)]
    numbering = _OWN_NUMBERS | {"row_number"}
    numbered = [one for one in columns if one not in undecided and numbering & set(one.candidates)]
    if undecided and not numbered:
        first = undecided[0].candidates
        first["vid"].score = first["weight"].score + 0.01


def _assign(columns: list[_Column]) -> None:
    """Give kinds to columns, the surest first; each slot is given once."""
    offers = sorted(
        ((one.score, -column.index, one.kind) for column in columns for one in column.candidates.values()),
        reverse=True,
    )
    slots: set[tuple[str, str]] = set()
    for _, place, kind in offers:
        column = columns[-place]
        slot = _slot(column, kind)
        if column.taken is not None or (slot in slots and kind not in _MANY):
            continue
        column.taken = column.candidates[kind]
        slots.add(slot)


def _slot(column: _Column, kind: str) -> tuple[str, str]:
    if kind == "weight":
        return kind, _purpose(column)
    if kind == "animal_class":
        return kind, "sex" if "sex" in column.heading.text.casefold() else "class"
    return ("day", "") if kind in ("date", "date_time") else (kind, "")


def _purpose(column: _Column) -> str:
    words = column.heading.text.casefold().split()
    if "bw" in words and column.cells.numbers and median(column.cells.numbers) <= _HEAVIEST_BIRTH:
        return "birth"
    return column.heading.purpose


def _settle_calves(columns: list[_Column], *, in_calf_book: bool) -> None:
    """Where cow and calf stand in one row, give the facts to the one they are about, or to none."""
    if not has_calf_numbers([column.heading for column in columns]):
        return
    if not any(column.taken and column.taken.kind in _OWN_NUMBERS for column in columns):
        return
    only_cows = all(
        names_cow(column.heading) for column in columns if column.taken and column.taken.kind in _OWN_NUMBERS
    )
    for column in columns:
        kind = column.taken.kind if column.taken else ""
        if in_calf_book and kind in ("eid", "vid", "metal") and names_cow(column.heading):
            column.taken = Candidate("dam", 0.7, by_header=True, evidence="number_like")
        elif in_calf_book and kind in _OF_COWS:
            column.taken, column.dropped = None, "This is told of cows, but the rows are about calves."
        elif not in_calf_book and (
            kind in _OF_CALVES or (kind == "weight" and (only_cows or _purpose(column) in ("birth", "weaning")))
        ):
            column.taken = None
            column.dropped = "This could be the calf's or the cow's, since the file names both; say whose it is."


def _own_number_from_relative(columns: list[_Column]) -> None:
    """Where no column has the animal's own number, the calf's or the new number is its own."""
    if any(column.taken and column.taken.kind in _OWN_NUMBERS for column in columns):
        return
    for kind in ("calf", "new_eid", "new_vid"):
        for column in columns:
            if column.taken and column.taken.kind == kind:
                own = "eid" if column.cells.shares["eid"] >= 0.5 else "vid"
                column.taken = Candidate(own, 0.6, by_header=True, evidence=own)
                return


def _guess(column: _Column, columns: list[_Column], header: str, default_unit: str, today: date) -> ColumnGuess:
    dates = order_of_dates(column.raw, None, today) if column.cells.shares["any_date"] else {}
    taken = column.taken
    if taken is None:
        return _left_over(column, columns, header, dates)
    reasons = reasons_for(taken, column.heading, column.cells)
    settings = _settings(column, taken.kind, dates)
    if taken.kind == "weight":
        reasons.append(_unit_sentence(settings["unit"], default_unit))
    if dates.get("reason") and taken.kind in DATED_KINDS:
        reasons.append(dates["reason"])
    return ColumnGuess(column.index, header, taken.kind, round(taken.score, 2), reasons, settings, dates)


def _unit_sentence(unit: str | None, default_unit: str) -> str:
    if unit:
        return f"The heading names the unit {unit}."
    return f"No unit in the heading: weights without one of their own are in {default_unit}."


def _settings(column: _Column, kind: str, dates: dict[str, Any]) -> dict[str, Any]:
    if kind == "weight":
        mark = decimal_mark(column.raw)
        return {"unit": column.heading.unit, "purpose": _purpose(column), "decimal_mark": mark}
    if kind in DATED_KINDS:
        known = {"order": None, "mixed": False, "proved_by": None, "against": None} | dates
        known.pop("reason", None)
        return known
    if kind == "result" and column.heading.test:
        return {"test": column.heading.test}
    if kind in _LENGTHS:
        return {"length_unit": _length_unit(column)}
    if kind == "pregnancy":
        return {"signs": any(cell.strip() == "+" for cell in column.raw)}
    return {}


def _length_unit(column: _Column) -> str | None:
    """The unit that the heading names; centimetres where most numbers are higher than cattle are in inches."""
    words = set(words_of(column.heading.text))
    named = [unit for unit, said in _LENGTH_WORDS.items() if words & said]
    if len(named) == 1:
        return named[0]
    is_high = bool(column.cells.numbers) and median(column.cells.numbers) > _HIGHEST_INCHES
    return "cm" if is_high else None


def _left_over(column: _Column, columns: list[_Column], header: str, dates: dict[str, Any]) -> ColumnGuess:
    if column.dropped:
        return ColumnGuess(column.index, header, "unused", 0.5, [column.dropped], {}, dates)
    if len(columns) == 1 and not header.strip() and column.cells.filled:
        reason = "A list of one column can only be numbers of animals; these are no EIDs."
        return ColumnGuess(column.index, header, "vid", 0.6, [reason], {}, dates)
    wanted = max(column.candidates.values(), key=lambda one: one.score, default=None)
    holder = None
    if wanted is not None:
        holder = next((one for one in columns if one.taken and one.taken.kind == wanted.kind), None)
    if wanted is not None and wanted.kind in _KEPT_AS_NOTES:
        reason = f"A second column of this kind: {COLUMN_KINDS[wanted.kind].label}. It is kept as a note."
        return ColumnGuess(column.index, header, "note", 0.5, [reason], {"label": header.strip()}, dates)
    place = f"Column {holder.index + 1}" if holder else ""
    reasons = why_unused(column.heading, column.cells, place, wanted.kind if wanted else "")
    confidence = 0.9 if column.heading.kinds.get("unused", 0) >= 0.9 or not column.cells.filled else 0.3
    return ColumnGuess(column.index, header, "unused", confidence, reasons, {}, dates)
