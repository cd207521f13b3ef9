"""Lays out a workbook's sheets in a process of its own, which a file made to do harm may end while others work on.

Two cells far apart are one rectangle of billions to the library: laying it out ends the process without a word. So
this file is a program as well: the workbook on standard input, what was found on standard output. It imports little,
since it starts anew for each workbook.
"""

import io
import marshal
import subprocess
import sys
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

import python_calamine

if sys.platform == "linux":
    import resource

MIB = 1024 * 1024
MOST_MEMORY = 2_048 * MIB
MOST_SECONDS = 120
PASSWORD, DAMAGED, EMPTY = "password", "damaged", "empty"


class SheetsRefused(Exception):  # noqa: N818
    """The workbook gave no sheet; `code` is one of those above, or empty where it broke the program."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


@dataclass(frozen=True, slots=True)
class Sheets:
    """The sheet that holds most data, visible ones first, as `grid`; `held` are all that hold data."""

    chosen: str
    held: list[str]
    hidden: set[str]
    grid: list[list[Any]]
    merged: list[tuple[tuple[int, int], tuple[int, int]]]


def lay_out(content: bytes) -> Sheets:
    """Lay out the workbook in a process of its own; raises SheetsRefused."""
    try:
        done = subprocess.run(
            [sys.executable, "-I", __file__], input=content, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            check=True, timeout=MOST_SECONDS,
        )  # fmt: skip
    except (subprocess.CalledProcessError, subprocess.TimeoutExpired) as problem:
        raise SheetsRefused("") from problem
    found = marshal.loads(done.stdout)  # noqa: S302 (said by this very file)
    if isinstance(found, str):
        raise SheetsRefused(found)
    return Sheets(*found)


def _main() -> None:
    _bound()
    try:
        found: Any = _found(sys.stdin.buffer.read())
    except SheetsRefused as refused:
        found = refused.code
    sys.stdout.buffer.write(marshal.dumps(found))


def _bound() -> None:
    """Bound memory and time where the system knows such bounds, and leave no picture of the memory behind."""
    if sys.platform != "linux":
        return
    bounds = {resource.RLIMIT_AS: MOST_MEMORY, resource.RLIMIT_CPU: MOST_SECONDS, resource.RLIMIT_CORE: 0}
    for kind, most in bounds.items():
        _, hard = resource.getrlimit(kind)
        resource.setrlimit(kind, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))


def _found(content: bytes) -> tuple[Any, ...]:
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
    except python_calamine.PasswordError as error:
        raise SheetsRefused(PASSWORD) from error
    except Exception as error:
        raise SheetsRefused(DAMAGED) from error
    tables = [meta for meta in book.sheets_metadata if meta.typ == python_calamine.SheetTypeEnum.WorkSheet]
    hidden = {meta.name for meta in tables if meta.visible != python_calamine.SheetVisibleEnum.Visible}
    grids = {meta.name: _grid(book, meta.name) for meta in tables}
    sizes = {sheet: sum(1 for row in grid for value in row if value != "") for sheet, grid in grids.items()}
    held = [sheet for sheet, size in sizes.items() if size]
    if not held:
        raise SheetsRefused(EMPTY)
    chosen = max(held, key=lambda sheet: (sheet not in hidden, sizes[sheet]))
    plain = [[_plain(value) for value in row] for row in grids[chosen]]
    return chosen, held, hidden, plain, _merged(book, chosen)


def _grid(book: python_calamine.CalamineWorkbook, sheet: str) -> list[list[Any]]:
    try:
        return list(book.get_sheet_by_name(sheet).to_python(skip_empty_area=False))
    except MemoryError:
        raise
    except Exception as error:
        raise SheetsRefused(DAMAGED) from error


def _merged(book: python_calamine.CalamineWorkbook, sheet: str) -> list[Any]:
    try:
        return book.get_sheet_by_name(sheet).merged_cell_ranges or []
    except Exception:
        return []


def _plain(value: Any) -> Any:
    """A value as it can be handed over: days and times as ISO 8601 text, the rest as it is."""
    if isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, timedelta):
        seconds = int(value.total_seconds())
        return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
    return str(value)


if __name__ == "__main__":
    _main()
