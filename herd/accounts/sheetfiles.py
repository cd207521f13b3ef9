"""CSV and XLSX files as plain text cells with the line that each row stands on, and back."""

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.cell import WriteOnlyCell

from herd.values.sheetcells import CONTROLS, guarded, unguarded

MOST_BYTES = 2 * 1024 * 1024
MOST_UNPACKED = 40 * 1024 * 1024
MOST_ROWS = 5_000
MOST_COLUMNS = 60
MARK = "\ufeff"
Row = tuple[int, list[str]]


class UnreadableFile(ValueError):  # noqa: N818
    """The file can't be taken; the text says why."""


def read_csv(data: bytes) -> tuple[list[str], list[Row]]:
    """Return the header and the rows with their lines in the file; raises UnreadableFile."""
    _check_size(data)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise UnreadableFile("The file is not UTF-8 text. Save it as CSV UTF-8, or as XLSX.") from problem
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    return _table(_csv_lines(text, delimiter))


def _csv_lines(text: str, delimiter: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            yield line, [unguarded(cell.strip()) for cell in cells]
            line = reader.line_num + 1
    except csv.Error as problem:
        raise UnreadableFile(f"Line {line}: the quotation marks of this line don't close.") from problem


def read_xlsx(data: bytes) -> tuple[list[str], list[Row]]:
    """Return the first sheet's header and rows; raises UnreadableFile."""
    _check_size(data)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            if sum(part.file_size for part in parts.infolist()) > MOST_UNPACKED:
                raise UnreadableFile("The workbook is too large.")
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except (zipfile.BadZipFile, KeyError, ValueError, OSError) as problem:
        said = str(problem) if isinstance(problem, UnreadableFile) else "That is no XLSX workbook."
        raise UnreadableFile(said) from problem
    sheet = book.worksheets[0]
    lines = sheet.iter_rows(max_row=MOST_ROWS + 2, max_col=MOST_COLUMNS + 1, values_only=True)
    return _table((line, [_cell(value) for value in cells]) for line, cells in enumerate(lines, start=1))


def _cell(value: object) -> str:
    """A workbook's cell as text: days as 2026-03-14, whole numbers without a point."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return str(int(value)) if isinstance(value, float) and value.is_integer() else unguarded(str(value).strip())


def _check_size(data: bytes) -> None:
    if len(data) > MOST_BYTES:
        raise UnreadableFile("The file is larger than 2 MB; a list of this kind is smaller.")


def _table(lines: Iterable[Row]) -> tuple[list[str], list[Row]]:
    """Cut lines into header and rows, empty ones passed over and short ones filled up."""
    rows: list[Row] = []
    header: list[str] | None = None
    for line, cells in lines:
        while cells and not cells[-1]:
            cells.pop()
        if not cells:
            continue
        if header is None:
            header = [cell.casefold() for cell in cells]
            continue
        if len(cells) > len(header):
            raise UnreadableFile(f"Line {line} has more cells than the heading has columns.")
        rows.append((line, [*cells, *[""] * (len(header) - len(cells))]))
        if len(rows) > MOST_ROWS:
            raise UnreadableFile(f"The file has more than {MOST_ROWS} rows; take it in parts.")
    if header is None:
        raise UnreadableFile("The file is empty.")
    return header, rows


def write_csv(rows: Iterable[Sequence[Any]]) -> str:
    """Rows as CSV, guarded against formulas; the mark in front makes spreadsheets read it as UTF-8."""
    into = io.StringIO()
    csv.writer(into).writerows([guarded(str(cell)) for cell in row] for row in rows)
    return MARK + into.getvalue()


def write_xlsx(rows: Iterable[Sequence[Any]]) -> bytes:
    """Rows as a workbook of text cells, in which nothing runs and no number is rounded."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("List")
    for row in rows:
        sheet.append([_text_cell(sheet, str(cell)) for cell in row])
    into = io.BytesIO()
    book.save(into)
    return into.getvalue()


def _text_cell(sheet: Any, text: str) -> Any:
    cell = WriteOnlyCell(sheet, CONTROLS.sub(" ", text))
    cell.data_type = "s"
    cell.number_format = "@"
    return cell
