"""How near a reader's table comes to the truth; the same measure for every reader.

Outer spaces, empty cells at a row's end, rows without any text, and the way a line ends inside a cell count for
nothing. A name that a reader made up for an empty or repeated one is taken as right.
"""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from tests.bench.world.truth import Rows, Truth


@dataclass(slots=True)
class Found:
    """What a reader made of a file; `None` where it doesn't say, `refused` where it gave up."""

    rows: Rows
    header: list[str] | None = None
    delimiter: str | None = None
    encoding: str | None = None
    refused: bool = False


@dataclass(frozen=True, slots=True)
class Score:
    """`whole` is 1 where header and all rows are right; `rows` and `cells` are F1; None is not judged."""

    whole: float
    header: float | None
    rows: float
    cells: float
    delimiter: float | None = None
    encoding: float | None = None


def score(found: Found, truth: Truth) -> Score:
    """Score against the truth, or against what is as right, whichever comes nearest."""
    if truth.unreadable:
        right = float(found.refused or not _plain(found.rows))
        return Score(right, None, right, right)
    tables = [{"header": truth.header, "rows": truth.rows}, *truth.also]
    best = max((_against(found, table) for table in tables), key=lambda one: (one.whole, one.rows, one.cells))
    is_delimited = bool(truth.delimiter) and max(map(len, truth.rows), default=0) > 1
    delimiter = _same(found.delimiter, truth.delimiter) if is_delimited else None
    encoding = float(_spelt_alike(found, truth)) if truth.encoding else None
    return Score(best.whole, best.header, best.rows, best.cells, delimiter, encoding)


def _same(found: str | None, true: str | None) -> float:
    return float(found is not None and (found.strip(" ") or found) == (str(true).strip(" ") or true))


def _spelt_alike(found: Found, truth: Truth) -> bool:
    """Whether every letter beyond ASCII came out as it is, whatever the encoding was called."""
    letters = [
        Counter(sign for row in rows for cell in row for sign in cell if ord(sign) > 127)
        for rows in ([*truth.rows, truth.header or []], [*found.rows, found.header or []])
    ]
    return not letters[0] - letters[1]


def _against(found: Found, table: dict[str, Any]) -> Score:
    rows, true = _plain(found.rows), _plain(table["rows"])
    header = None
    if table.get("header") is not None:
        header = float(_header_right(found.header or [], table["header"]))
    whole = float(rows == true and header != 0.0)
    cells = [Counter((place, cell) for row in each for place, cell in enumerate(row) if cell) for each in (rows, true)]
    return Score(whole, header, _f1(Counter(map(tuple, rows)), Counter(map(tuple, true))), _f1(*cells))


def _plain(rows: Rows) -> Rows:
    plain = []
    for row in rows:
        cells = [_cell(cell) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            plain.append(cells)
    return plain


def _cell(cell: str) -> str:
    return cell.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "").strip()


def _header_right(found: list[str], true: list[str]) -> bool:
    names, wanted = [_cell(name) for name in found], [_cell(name) for name in true]
    if not wanted or not names:
        return not wanted and not names
    size = max(len(names), len(wanted))
    names, wanted = names + [""] * (size - len(names)), wanted + [""] * (size - len(wanted))
    told = Counter(wanted)
    return all(
        name == want or not want or (told[want] > 1 and name.startswith(want))
        for name, want in zip(names, wanted, strict=True)
    )


def _f1(found: Counter[Any], true: Counter[Any]) -> float:
    if not found and not true:
        return 1.0
    shared = sum((found & true).values())
    return 2 * shared / (sum(found.values()) + sum(true.values()))
