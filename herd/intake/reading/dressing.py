"""What stands around whole lines and belongs to no cell: quotes put on a second time, and the bars of a drawn box."""

import csv
import re
from enum import StrEnum

from herd.intake.reading.cells import is_rule


class Dressing(StrEnum):
    """What every line of a file wears."""

    NONE = ""
    QUOTED = "quoted"
    BARRED = "barred"


_ONE_QUOTED_CELL = re.compile(r'"(?:[^"]|"")*"')
_BARRED = re.compile(r"\|.*\|")
_FEWEST_CELLS = 3


def dressing_of(lines: list[str]) -> Dressing:
    """What every written line wears, ruled lines apart.

    Quotes around whole lines come of a table that was saved as text twice; what is inside must then be an even table.
    """
    written = [bare for line in lines if (bare := line.strip()) and not is_rule([bare])]
    if len(written) < 2:
        return Dressing.NONE
    if all(_BARRED.fullmatch(line) for line in written):
        return Dressing.BARRED
    if all(_ONE_QUOTED_CELL.fullmatch(line) for line in written):
        inside = [_unquoted(line) for line in written]
        if any(_is_even(inside, delimiter) for delimiter in ",;\t|"):
            return Dressing.QUOTED
    return Dressing.NONE


def undressed(line: str, dressing: Dressing) -> str:
    """The line without what it wears; a line that doesn't wear it stays as it is."""
    bare = line.strip()
    end = line[len(line.rstrip("\r\n")) :]
    if dressing == Dressing.BARRED and _BARRED.fullmatch(bare) and not is_rule([bare]):
        return bare[1:-1] + end
    if dressing == Dressing.QUOTED and _ONE_QUOTED_CELL.fullmatch(bare):
        return _unquoted(bare) + end
    return line


def _unquoted(text: str) -> str:
    return text[1:-1].replace('""', '"')


def _is_even(lines: list[str], delimiter: str) -> bool:
    rows = list(csv.reader(lines, delimiter=delimiter))
    # A comma with a space behind it stands in prose and in names of people.
    is_prose = any(cell.startswith(" ") for row in rows for cell in row)
    return not is_prose and {len(row) for row in rows} == {len(rows[0])} and len(rows[0]) >= _FEWEST_CELLS
