"""An opened field file: its findings at once, its data rows as a stream, every line accounted for."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Protocol

from herd.intake.reading.cells import filled, is_rule
from herd.intake.reading.layout import Layout, footer_records
from herd.intake.reading.outcome import Dialect, Limits, Notes, ReadingWarning, UnreadableFile
from herd.intake.reading.records import Block, Record
from herd.intake.reading.tables import SecondTable, order_of, second_tables
from herd.intake.reading.words import is_page_mark

_RULE_SIGNS = frozenset("-=_*~+#|")


class Origin(Protocol):
    """Where records come from: a text file, a list of numbers, or the sheet of a workbook."""

    def blocks(self, notes: Notes) -> Iterator[Block]:
        """All records from the first line on."""

    def sampled(self) -> list[Record]:
        """The records that the layout is judged by."""

    def last(self) -> list[Record]:
        """The last records, when the sample does not reach the end."""


@dataclass(slots=True)
class Walk:
    """What one pass over the rows has met so far."""

    blank: int = 0
    continued: int = 0
    passed: list[tuple[int, str]] = field(default_factory=list)
    width: int = 0
    order: list[int] | None = None
    is_first_table: bool = True
    first: int | None = None


class FieldSource:
    """A field file whose rows can be walked again and again; `warnings` and `dialect` grow while they are."""

    def __init__(self, name: str, origin: Origin, layout: Layout, dialect: Dialect, limits: Limits) -> None:
        self.name = name
        self.header = list(layout.header)
        self._origin = origin
        self._layout = layout
        self._limits = limits
        self._opening_notes = Notes()
        self._notes = Notes()
        self._walk = Walk()
        self.padded = False
        self.cut_last = False
        self._tables: dict[int, SecondTable] = {}
        self._usual = layout.width
        self._first_line: int | None = None
        self._names = frozenset(cell for row in [*layout.header_rows, layout.header] for cell in row)
        self._known_lines = frozenset([*layout.header_lines, *layout.preamble_lines, *layout.passed])
        self._footers: frozenset[int] = frozenset()
        self._dialect = dialect

    def judged(self, sample: list[Record], ending: list[Record]) -> None:
        """Take in what the sample and the file's end say about usual width, footers and further tables."""
        data = [record for record in sample if record.line >= self._layout.data_from]
        footers = footer_records((ending or data)[-40:], self._layout)
        footers = [record for record in footers if record.line >= self._layout.data_from]
        self._footers = frozenset(line for record in footers for line in range(record.line, record.line + record.span))
        data = [record for record in data if record.line not in self._footers]
        widths = Counter(len(record.cells) for record in data if filled(record.cells))
        self._usual = widths.most_common(1)[0][0] if widths else self._layout.width
        if all(len(record.cells) == self._layout.width for record in data[:2]):
            self._usual = self._layout.width
        if any(len(record.cells) > self._limits.max_columns for record in sample):
            most = self._limits.max_columns
            raise UnreadableFile("too_many_columns", f"The file has more than {most:,} columns.")
        self._first_line = next((record.line for record in data if filled(record.cells)), None)
        self._tables = second_tables(data, self._layout, self._usual)

    @property
    def warnings(self) -> list[ReadingWarning]:
        """Everything worth saying so far: findings at opening, then those of the latest walk."""
        return [*self._opening_notes.found, *self._notes.found]

    def note(self, line: int | None, code: str, text: str) -> None:
        """Keep a finding that was made on opening the file."""
        self._opening_notes.add(line, code, text)

    @property
    def dialect(self) -> Dialect:
        """How the file is written; the counts of lines cover what the latest walk has read."""
        layout, walk = self._layout, self._walk
        passed = sorted([*layout.passed.items(), *walk.passed])
        return replace(
            self._dialect,
            header_line=layout.header_lines[0] if layout.header_lines else None,
            header_lines=tuple(layout.header_lines),
            first_data_line=walk.first or self._first_line,
            preamble_lines=tuple(layout.preamble_lines),
            footer_lines=tuple(sorted(self._footers)),
            passed_lines=tuple(passed),
            blank_lines=walk.blank,
            continued_lines=walk.continued,
        )

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """Data rows as (line, cells): padded to the header's width, surplus cells kept.

        Raises UnreadableFile when a row further down has too many columns or too long a cell.
        """
        try:
            yield from self._data_rows()
        except (UnreadableFile, MemoryError):
            raise
        except Exception as error:
            raise UnreadableFile("damaged", "The file is damaged further down and could not be read.") from error

    def _data_rows(self) -> Iterator[tuple[int, list[str]]]:
        self._notes, self._walk = Notes(), Walk(width=self._usual)
        walk, usual, names = self._walk, self._usual, self._names
        is_simple = not self.padded and not self.cut_last and usual == (len(self.header) or usual)
        special = self._footers | self._tables.keys()
        for block in self._origin.blocks(self._notes):
            quick = is_simple and block.spans is None and self._is_past_head(block)
            for place, (line, cells) in enumerate(zip(block.lines, block.rows, strict=True)):
                if quick and len(cells) == usual and line not in special:
                    lead = cells[0]
                    if lead and lead not in names and lead[0] not in _RULE_SIGNS:
                        yield line, cells
                        continue
                row = self._judged(line, cells, block.spans[place] if block.spans else 1)
                quick = quick and walk.is_first_table
                if row is not None:
                    if walk.first is None:
                        walk.first = line
                    yield line, row
        if walk.first is None:
            self._notes.add(None, "no_rows", "The file holds no data rows.")
        self._notes.close()

    def _is_past_head(self, block: Block) -> bool:
        return self._walk.first is not None and self._walk.is_first_table and block.lines[0] > self._layout.data_from

    def _judged(self, line: int, cells: list[str], span: int) -> list[str] | None:
        """The finished data row, or None for a line that is something else (and is then accounted for)."""
        layout, walk = self._layout, self._walk
        if line in self._footers or line in self._known_lines:
            return None
        if not filled(cells):
            walk.blank += span
            return None
        if line < layout.data_from:
            return None
        reason = self._passing(line, cells)
        if reason:
            walk.passed += [(each, reason) for each in range(line, line + span)]
            return None
        walk.continued += span - 1
        return self._finished(line, cells)

    def _passing(self, line: int, cells: list[str]) -> str:
        """Why a line among the data is no data row; empty when it is one."""
        walk, header = self._walk, self.header
        if is_rule(cells):
            return "ruled line"
        if any(cells == names for names in self._layout.header_rows):
            walk.order, walk.width, walk.is_first_table = None, self._usual, True
            return "header repeated"
        if len(cells) == 1 and self._usual > 1 and is_page_mark(cells[0]):
            return "page number"
        table = self._tables.get(line)
        if table is None and header and len(cells) == len(header) and cells[0] in self._names:
            order = order_of(cells, header)
            table = SecondTable(len(cells), order) if order else None
        if table is None:
            return ""
        if table.is_title:
            return "title of a second table"
        walk.order, walk.width, walk.is_first_table = table.order, table.width, False
        names = ", ".join(cell for cell in cells if cell)
        what = "the same columns in another order" if table.order else f"other columns: {names}"
        self._notes.add(line, "second_table", f"A second table begins at line {line} with {what}.")
        return "header of a second table"

    def _finished(self, line: int, cells: list[str]) -> list[str]:
        walk, wanted = self._walk, len(self.header) or self._usual
        if len(cells) > self._limits.max_columns:
            raise UnreadableFile("too_many_columns", f"Line {line} has {len(cells):,} columns.")
        if any(len(cell) > self._limits.max_cell for cell in cells):
            raise UnreadableFile("cell_too_long", f"Line {line} has a cell of more than a million characters.")
        if walk.width != len(cells) and not (self.cut_last and len(cells) == walk.width - 1):
            self._note_width(line, len(cells))
        if self.cut_last and len(cells) == self._usual and not cells[-1]:
            cells = cells[:-1]
        if self.padded:
            cells = [cell.strip() for cell in cells]
        if walk.order:
            surplus = cells[len(walk.order) :]
            cells = [cells[place] if place < len(cells) else "" for place in walk.order] + surplus
        return cells + [""] * (wanted - len(cells)) if len(cells) < wanted else cells

    def _note_width(self, line: int, count: int) -> None:
        usual = self._walk.width
        code, word = ("short_row", "fewer") if count < usual else ("long_row", "more")
        self._notes.add(line, code, f"Line {line} has {word} cells than usual: {count} instead of {usual}.")
