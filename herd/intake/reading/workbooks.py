"""Workbooks (XLSX, XLS, ODS) as records: the sheet with the data, its cells as text."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from herd.intake.reading.layout import layout_of
from herd.intake.reading.markup import SheetMarks, sheet_marks
from herd.intake.reading.outcome import Dialect, Limits, Notes, UnreadableFile
from herd.intake.reading.records import Block, Record
from herd.intake.reading.sheets import Sheets, SheetsRefused, lay_out
from herd.intake.reading.sources import FieldSource
from herd.intake.reading.texts import Opener

_EXACT = 10**15
_BLOCK = 2_000

_REFUSALS = {
    "password": "The workbook is protected by a password; save it without one.",
    "damaged": "The workbook is damaged and could not be opened.",
    "empty": "The workbook holds no filled cells.",
    "too_large": "The workbook takes more memory or time than one file may have, or breaks the program that opens it. "
    "Save only the lines that count, as CSV.",
}

Grid = list[list[str]]


@dataclass(slots=True)
class SheetRecords:
    """The rows of one sheet; the line of a record is the sheet's row number, from 1."""

    rows: Grid
    sample: int = 3_000
    found: list[Record] = field(default_factory=list)

    def blocks(self, _notes: Notes) -> Iterator[Block]:
        """All rows in blocks."""
        for start in range(0, len(self.rows), _BLOCK):
            rows = self.rows[start : start + _BLOCK]
            yield Block(range(start + 1, start + 1 + len(rows)), [list(row) for row in rows])

    def sampled(self) -> list[Record]:
        """The first rows."""
        return [Record(line, 1, row) for line, row in enumerate(self.rows[: self.sample], 1)]

    def last(self) -> list[Record]:
        """The last rows."""
        first = max(0, len(self.rows) - 40)
        return [Record(line, 1, row) for line, row in enumerate(self.rows[first:], first + 1)]


def open_workbook(opener: Opener, name: str, kind: str, limits: Limits) -> FieldSource:
    """The sheet that holds most data, visible ones first; other sheets with data are told in a warning."""
    with opener() as stream:
        content = stream.read()
    sheets = _laid_out(content)
    marks = sheet_marks(content, sheets.chosen) if kind == "xlsx" else SheetMarks()
    if max(map(len, sheets.grid)) > limits.max_columns:
        raise UnreadableFile("too_many_columns", f"The sheet has more than {limits.max_columns:,} columns.")
    notes = Notes()
    rows = _texts(sheets.grid, marks, notes, limits)
    _fill_merged(sheets, rows)
    source = _source(
        name,
        rows,
        Dialect(format=kind.replace("xlsb", "xlsx"), sheet=sheets.chosen, total_lines=len(rows)),
        limits,
    )
    for warning in notes.found:
        source.note(warning.line, warning.code, warning.text)
    _note_sheets(source, sheets)
    return source


def _laid_out(content: bytes) -> Sheets:
    try:
        return lay_out(content)
    except SheetsRefused as refused:
        code = refused.code or "too_large"
        raise UnreadableFile(code, _REFUSALS[code]) from refused


def _source(name: str, rows: Grid, dialect: Dialect, limits: Limits) -> FieldSource:
    origin = SheetRecords(rows)
    sample = origin.sampled()
    source = FieldSource(name, origin, layout_of(sample), dialect, limits)
    source.judged(sample, origin.last())
    return source


def _note_sheets(source: FieldSource, sheets: Sheets) -> None:
    others = [sheet for sheet in sheets.held if sheet != sheets.chosen]
    if sheets.chosen in sheets.hidden:
        source.note(None, "hidden_sheet", f"The sheet {sheets.chosen!r} that was read is hidden.")
    if others:
        named = ", ".join(f"{sheet!r} (hidden)" if sheet in sheets.hidden else repr(sheet) for sheet in others)
        source.note(None, "other_sheets", f"Only the sheet {sheets.chosen!r} was read; these hold cells too: {named}.")


def _texts(grid: list[list[Any]], marks: SheetMarks, notes: Notes, limits: Limits) -> Grid:
    """Every cell as text, empty columns at both sides left out; warns where digits or values are lost."""
    used = [place for row in grid for place, value in enumerate(row) if value != ""]
    used += [place for _, place in marks.errors]
    first, last = min(used), max(used)
    for line in marks.hidden_rows:
        if line <= len(grid):
            notes.add(line, "hidden_row", f"Row {line} is hidden in the sheet; it was read all the same.")
    for line, place in marks.unvalued:
        notes.add(line, "no_value", f"Row {line}, column {place + 1} holds a formula without a stored value.")
    rows = []
    for line, values in enumerate(grid, 1):
        row = []
        for place in range(first, last + 1):
            text = marks.errors.get((line, place)) or _cell_text(values[place] if place < len(values) else "")
            if isinstance(values[place], float) and abs(values[place]) >= _EXACT:
                where = f"Row {line}, column {place - first + 1}"
                notes.add(line, "digits_lost", f"{where}: a number of more than 15 digits has lost its last digits.")
            if len(text) > limits.max_cell:
                raise UnreadableFile("cell_too_long", f"Row {line} has a cell of more than a million characters.")
            row.append(text)
        rows.append(row)
    return rows


def _cell_text(value: object) -> str:
    """A workbook's value as text: decimals without exponent, TRUE and FALSE."""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else format(Decimal(repr(value)), "f")
    return str(value)


def _fill_merged(sheets: Sheets, rows: Grid) -> None:
    """Writes the name of a merged header cell into all the columns it spans (in the top ten rows only)."""
    for (top, left), (_, right) in sheets.merged:
        if top < 10 and right > left and top < len(rows) and _names_columns(rows, top, left, right):
            for place in range(left + 1, min(right + 1, len(rows[top]))):
                rows[top][place] = rows[top][left]


def _names_columns(rows: Grid, top: int, left: int, right: int) -> bool:
    # A title merged across the whole sheet is no column name: it stands alone in its row.
    beside = [cell for place, cell in enumerate(rows[top]) if cell and not left <= place <= right]
    return bool(beside) and left < len(rows[top]) and top + 1 < len(rows)
