"""Puts a hard file together from a table, a way of writing, and what stands above, inside and below it.

Each part keeps the truth in step with what it does to the text, so that several may be wrong at once.
"""

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random

from tests.bench.world.truth import HardFile, Rows, Truth

Maker = Callable[[Random], tuple[list[str], Rows]]


@dataclass(frozen=True, slots=True)
class Pool:
    """What one half of the files is made of: tables, and the words around them."""

    tables: tuple[Maker, ...]
    titles: tuple[str, ...]
    keys: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]
    totals: tuple[str, ...]
    ends: tuple[str, ...]
    groups: tuple[str, ...]
    units: tuple[str, ...]
    asides: tuple[str, ...]


@dataclass(slots=True)
class Draft:
    """A file in the making; `lines` are written rows of the table's body, each with the data row it stands for."""

    chance: Random
    pool: Pool
    header: list[str]
    rows: Rows
    delimiter: str = ","
    quote: str = '"'
    quoting: str = "minimal"
    end: str = "\n"
    encoding: str = "utf-8"
    top: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)
    body: list[str] = field(default_factory=list)
    below: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    also_rows: list[Rows] = field(default_factory=list)

    @property
    def width(self) -> int:
        return len(self.rows[0])

    def line(self, cells: list[str]) -> str:
        """One line of these cells in the file's way of writing."""
        out = io.StringIO()
        how = {"minimal": csv.QUOTE_MINIMAL, "all": csv.QUOTE_ALL, "text": csv.QUOTE_NONNUMERIC}[self.quoting]
        typed = [_number(cell) if self.quoting == "text" else cell for cell in cells]
        csv.writer(out, delimiter=self.delimiter, quotechar=self.quote, quoting=how, lineterminator="").writerow(typed)
        return out.getvalue()

    def padded(self, text: str) -> str:
        """A line as a spreadsheet saves it: the text, then the delimiters of the empty cells beside it."""
        return self.line([text]) + self.delimiter * (self.width - 1)

    def write(self) -> None:
        """Write header and body anew from header and rows, before anything is put wrong in them."""
        self.heads = [self.line(self.header)] if self.header else []
        self.body = [self.line(row) for row in self.rows]

    def finished(self, name: str) -> HardFile:
        """The file and its truth."""
        lines = [*self.top, *self.heads, *self.body, *self.below]
        text = "".join(line.replace("\n", self.end) + self.end for line in lines)
        truth = Truth(
            rows=self.rows,
            header=self.header,
            also=[{"header": self.header, "rows": rows} for rows in self.also_rows],
            encoding=self.encoding,
            delimiter=self.delimiter,
            kind=" + ".join(self.faults) or "plain",
        )
        return HardFile(name, text.encode(self.encoding, "replace"), truth)


def _number(cell: str) -> str | float:
    return _Plain(cell) if cell.replace(".", "", 1).isdigit() and len(cell) < 10 else cell


class _Plain(float):
    """A number that is written the way it was."""

    def __new__(cls, text: str) -> "_Plain":
        made = super().__new__(cls, text)
        made.text = text
        return made

    def __str__(self) -> str:
        return self.text

    __repr__ = __str__


def drafted(chance: Random, pool: Pool, *, longest: int = 45) -> Draft:
    """A clean table of the pool, cut to some columns and rows."""
    header, rows = chance.choice(pool.tables)(chance)
    width = chance.randint(min(3, len(header)), len(header))
    places = sorted(chance.sample(range(len(header)), width))
    count = chance.choice((3, 6, 10, 18, 30, longest))
    rows = [[row[place] for place in places] for row in rows[:count]]
    return Draft(chance, pool, [header[place] for place in places], [row for row in rows if row[0].strip()] or rows)


def spelt(draft: Draft) -> None:
    """Choose delimiter, quotes, line ends and encoding."""
    chance = draft.chance
    draft.delimiter = chance.choices((",", ";", "\t", "|", ":", "~", "^"), (42, 24, 14, 12, 1, 2, 2))[0]
    draft.quote = chance.choices(('"', "'"), (93, 7))[0]
    draft.quoting = chance.choices(("minimal", "all", "text"), (80, 16, 4))[0]
    draft.end = chance.choices(("\n", "\r\n", "\r"), (50, 45, 5))[0]
    text = "".join(draft.header) + "".join(cell for row in draft.rows for cell in row)
    codes = ["utf-8"] * 5 + ["utf-8-sig"] * 2 + ["utf-16", "utf-16-le"]
    codes += [code for code in ("cp1252", "cp1252", "mac_roman", "cp850") if not text.isascii() and _fits(text, code)]
    draft.encoding = chance.choice(codes)
    draft.write()


def _fits(text: str, code: str) -> bool:
    try:
        text.encode(code)
    except UnicodeEncodeError:
        return False
    return True


Fault = Callable[[Draft], bool]


def put_wrong(draft: Draft, faults: list[tuple[str, Fault]]) -> None:
    """Try each fault; those that fit the table are noted."""
    for name, fault in faults:
        if fault(draft):
            draft.faults.append(name)
