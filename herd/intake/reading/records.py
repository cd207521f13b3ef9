"""From physical lines to records: a fast path for well-formed text and a tolerant one that loses no line."""

import csv
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Literal

from herd.intake.reading.spelling import BESIDE, EVEN, WHOLE, Spelling, Split, mended, split_record

# The csv module refuses fields above 128 KiB by default; the reader checks cell lengths itself.
csv.field_size_limit(2**31 - 1)

_BLOCK = 2_048
_LONGEST_RECORD = 300
_TRIES = 12
_MOST_MISSES = 30
_FEWEST_TO_CUT = 3
_STAND_IN = "\x1f"

Warn = Callable[[int, str, str], None]


@dataclass(slots=True)
class Record:
    """One record: the physical line it began on (from 1), how many lines it took, and its cells."""

    line: int
    span: int
    cells: list[str]


@dataclass(slots=True)
class Block:
    """Some records side by side: their first lines, their cells, and their spans (None when all are 1)."""

    lines: Sequence[int]
    rows: list[list[str]]
    spans: list[int] | None = None

    def add(self, record: Record) -> None:
        """Append one record to a block that is being gathered."""
        if isinstance(self.lines, list) and self.spans is not None:
            self.lines.append(record.line)
            self.spans.append(record.span)
        self.rows.append(record.cells)

    def records(self) -> list[Record]:
        """The same records one by one."""
        spans = self.spans or [1] * len(self.rows)
        return [Record(*parts) for parts in zip(self.lines, spans, self.rows, strict=True)]


def _cut_by_another(text: str, delimiter: str, width: int) -> list[str] | None:
    for other in ",;\t|":
        # With a space behind it the sign stands in prose.
        if other not in delimiter and text.count(other) >= width - 1 and other + " " not in text:
            split = split_record(text, Spelling(other))
            if len(split.cells) == width and split.open_cell is None:
                return split.cells
    return None


def _silent(_line: int, _code: str, _text: str) -> None:
    return


@dataclass(slots=True)
class RecordReader:
    """Turns an iterator of lines (with their ends) into records; `width` is the usual number of cells."""

    spelling: Spelling
    width: int = 0
    warn: Warn = _silent
    longest: int = _LONGEST_RECORD
    _pending: deque[str] = field(default_factory=deque)
    _misses: int = 0
    _above: int = 0

    def blocks(self, lines: Iterable[str], first_line: int = 1) -> Iterator[Block]:
        """All records in blocks; a block of plain lines is cut by the csv module, another line by line."""
        source = iter(lines)
        line = first_line
        while True:
            taken = list(self._pending)
            self._pending.clear()
            taken += islice(source, max(0, _BLOCK - len(taken)))
            if not taken:
                return
            rows = self._plain(taken)
            if rows is not None:
                numbers = range(line, line + len(rows))
                self._cut_otherwise(rows, numbers)
                yield Block(numbers, rows, None)
                line += len(rows)
                continue
            self._pending.extend(taken)
            block = Block([], [], [])
            end = line + len(taken)
            while line < end:
                record = self._record(line, source)
                block.add(record)
                line += record.span
                self._above = len(record.cells)
            self._cut_otherwise(block.rows, block.lines)
            yield block

    def _cut_otherwise(self, rows: list[list[str]], lines: Sequence[int]) -> None:
        """Cut rows that stayed whole where another delimiter gives them just the usual cells."""
        if self.width < _FEWEST_TO_CUT or 1 not in set(map(len, rows)):
            return
        for place, cells in enumerate(rows):
            if len(cells) == 1 and (cut := _cut_by_another(cells[0], self.spelling.delimiter, self.width)):
                rows[place] = cut
                text = f"Line {lines[place]} is written with another delimiter than the rest; it was parted there."
                self.warn(lines[place], "other_delimiter", text)

    def _plain(self, block: list[str]) -> list[list[str]] | None:
        """The rows of a block in which every line is one well-formed record, or None."""
        spelling, text = self.spelling, "".join(block)
        quotes = text.count(spelling.quote) if spelling.quote else 0
        if spelling.edges or spelling.runs or (spelling.escape == "\\" and "\\" in text):
            return None
        if not spelling.delimiter:
            return None if quotes else [[line.rstrip("\r\n")] for line in block]
        if quotes and (quotes % 2 or spelling.closer != spelling.quote or self._has_spaced_quote(text)):
            return None
        rows = self._tokenized(block, text)
        if rows is None or len(rows) != len(block):
            return None
        if quotes and self.width and any(len(row) != self.width for row in rows):
            return None
        return rows

    def _has_spaced_quote(self, text: str) -> bool:
        return f"{self.spelling.delimiter} {self.spelling.quote}" in text

    def _tokenized(self, block: list[str], text: str) -> list[list[str]] | None:
        delimiter, quote = self.spelling.delimiter, self.spelling.quote
        stand_in = delimiter
        if len(delimiter) > 1:
            # The csv module knows one-character delimiters only, so a rare control character stands in.
            stand_in, bare = _STAND_IN, delimiter.rstrip()
            if _STAND_IN in text or (bare != delimiter and any(line.rstrip().endswith(bare) for line in block)):
                return None
            block = [line.replace(delimiter, _STAND_IN) for line in block]
        quoting: Literal[0, 3] = csv.QUOTE_MINIMAL if quote else csv.QUOTE_NONE
        try:
            rows = list(csv.reader(block, delimiter=stand_in, quotechar=quote or None, strict=True, quoting=quoting))
        except csv.Error:
            return None
        if stand_in != delimiter:
            rows = [[cell.replace(stand_in, delimiter) for cell in row] for row in rows]
        return rows

    def records(self, lines: Iterable[str], first_line: int = 1) -> Iterator[Record]:
        """Every record in order; each physical line belongs to exactly one of them."""
        source = iter(lines)
        line = first_line
        pending = self._pending
        while True:
            if not pending:
                pending.extend(islice(source, 1))
                if not pending:
                    return
            record = self._record(line, source)
            yield record
            line += record.span

    def _record(self, line: int, source: Iterator[str]) -> Record:
        text = self._pending.popleft()
        bare = text.rstrip("\r\n")
        split = split_record(bare, self.spelling)
        if split.open_cell is not None:
            longer = self._continued(text, source, split)
            self._misses = 0 if longer else self._misses + 1
            if longer is not None:
                return Record(line, longer[0], longer[1])
            self.warn(
                line,
                "unclosed_quote",
                f"Line {line} has a quote that is never closed; it was read by itself.",
            )
            return Record(line, 1, mended(split, self.width, self.spelling))
        return Record(line, 1, self._settled(line, bare, split))

    def _settled(self, line: int, text: str, split: Split) -> list[str]:
        """The cells of a closed record; another way of pairing quotes is tried when the width is unusual."""
        quote = self.spelling.quote
        lone = bool(quote) and any(cell.count(quote) == 1 for cell in split.cells)
        if not split.stray and not (lone and split.quoted):
            return (
                mended(split, self.width, self.spelling) if lone and len(split.cells) > self.width > 0 else split.cells
            )
        if len(split.cells) != self.width:
            for mode in (EVEN, BESIDE, WHOLE):
                other = split_record(text, self.spelling, mode)
                if len(other.cells) == self.width and other.open_cell is None:
                    split = other
                    break
        if split.stray:
            self.warn(line, "stray_quote", f"Line {line} has a quote inside a quoted cell; it was kept as text.")
        return mended(split, self.width, self.spelling)

    def _continued(self, text: str, source: Iterator[str], alone: Split) -> tuple[int, list[str]] | None:
        """Span and cells when following lines close the open quote believably, else None."""
        taken = [text]
        tries = 0
        # In a file full of lone quotes a long search after each of them would never end.
        wary = self._misses > _MOST_MISSES
        while len(taken) < (8 if wary else self.longest) and tries < (1 if wary else _TRIES):
            following = self._pull(len(taken) - 1, source)
            if following is None or (self.spelling.closer not in following and self._is_whole(following)):
                return None
            taken.append(following)
            if self.spelling.closer not in following:
                continue
            tries += 1
            split = split_record("".join(taken).rstrip("\r\n"), self.spelling)
            if split.open_cell is None:
                return self._accepted(split, alone, taken)
        return None

    def _accepted(self, split: Split, alone: Split, taken: list[str]) -> tuple[int, list[str]] | None:
        if not self._is_believable(split, alone, taken[-1]):
            return None
        for _ in taken[1:]:
            self._pending.popleft()
        return len(taken), split.cells

    def _pull(self, index: int, source: Iterator[str]) -> str | None:
        while len(self._pending) <= index:
            following = next(source, None)
            if following is None:
                return None
            self._pending.append(following)
        return self._pending[index]

    def _is_whole(self, line: str) -> bool:
        if self.width < 3:
            return False
        split = split_record(line.rstrip("\r\n"), self.spelling)
        return split.open_cell is None and len(split.cells) == self.width

    def _is_believable(self, split: Split, alone: Split, last: str) -> bool:
        if self.width < 2:
            return not split.stray
        # In a further table the usual width is that of the record above.
        if len(split.cells) in (self.width, self._above):
            return not self._is_whole(last) or not split.stray
        return len(split.cells) < self.width and len(alone.cells) < self.width and not split.stray
