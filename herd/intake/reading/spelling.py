"""Splitting one record's text into cells, strictly where it is well formed and tolerantly where it is not."""

import re
from dataclasses import dataclass

CLOSERS = {'"': '"', "'": "'", "`": "`", "“": "”", "„": "“", "«": "»", "»": "«", "‘": "’", "”": "”"}
_MOST_UNCLOSED = 8
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Spelling:
    """How cells are told apart: delimiter (empty for one column), quote, escape, and padding.

    `escape` is the quote itself when quotes are doubled, a backslash, or empty. `runs` means that any number
    of spaces part two cells; `edges` are the starting characters of columns set in fixed places.
    """

    delimiter: str = ","
    quote: str = '"'
    escape: str = '"'
    runs: bool = False
    edges: tuple[int, ...] = ()
    padded: bool = False

    @property
    def closer(self) -> str:
        """The sign that ends a quoted cell."""
        return CLOSERS.get(self.quote, self.quote)


@dataclass(slots=True)
class Split:
    """The cells of one record, whether a quote stayed open (and in which cell), and stray quotes met."""

    cells: list[str]
    open_cell: int | None = None
    stray: int = 0
    quoted: int = 0
    unclosed: int = 0


FIRST, EVEN, BESIDE, WHOLE = "first", "even", "beside", "whole"


def split_record(text: str, spelling: Spelling, mode: str = FIRST) -> Split:
    """Cells of one record, its line end taken off; a quote closes a cell only before a delimiter or the end.

    Mode `first` closes at the first such quote, `even` only when the stray quotes inside pair up, `beside`
    only where the next cell opens with a quote too (for text with unescaped quotes and delimiters inside),
    `whole` takes an opening quote for text when the cell it opens would hold stray quotes.
    """
    if spelling.edges:
        return _split_edges(text, spelling.edges)
    if spelling.runs and spelling.delimiter == "  ":
        return Split(re.split(r" {2,}|\t+", text.strip(" ")))
    if spelling.runs:
        text = text.strip(" ")
    elif spelling.quote not in text and len(spelling.delimiter) == 1 and "\\" not in text:
        return Split(text.split(spelling.delimiter))
    found = Split([])
    start: int | None = 0
    while start is not None:
        start = _next_cell(text, start, spelling, mode, found)
    return found


def _split_edges(text: str, edges: tuple[int, ...]) -> Split:
    ends = (*edges[1:], len(text) + 1)
    cells = [text[begin:end].strip() for begin, end in zip(edges, ends, strict=True)]
    if not any(cells[1:]):
        return Split([text.strip()])
    return Split(cells)


def _next_cell(text: str, start: int, spelling: Spelling, mode: str, found: Split) -> int | None:
    """Append the cell that begins at `start`; the start of the next one, or None at the end."""
    # A record of thousands of open quotes would be searched to its end for each of them.
    opening = _opening(text, start, spelling) if found.unclosed < _MOST_UNCLOSED else None
    if opening is not None:
        before = found.stray
        end = _closing(text, opening, spelling, mode, found)
        if mode == WHOLE and found.stray > before:
            end = None
        elif end is None and mode != FIRST:
            end = _closing(text, opening, spelling, FIRST, found)
        if end is not None:
            found.quoted += 1
            found.cells.append(_unescaped(text[opening:end], spelling))
            return _after(text, end + len(spelling.closer), spelling)
        found.unclosed += 1
        if found.open_cell is None and mode != WHOLE:
            found.open_cell = len(found.cells)
    end = _plain_end(text, start, spelling)
    cell = text[start : len(text) if end is None else end]
    found.cells.append(_ESCAPED.sub(r"\1", cell) if _is_plain_escape(cell, spelling) else cell)
    return None if end is None else _skip_run(text, end + len(spelling.delimiter), spelling)


def _is_plain_escape(cell: str, spelling: Spelling) -> bool:
    signs = [spelling.delimiter, spelling.quote, "\\\n"]
    return spelling.escape == "\\" and any(sign and "\\" + sign in cell for sign in signs)


def _opening(text: str, start: int, spelling: Spelling) -> int | None:
    if not spelling.quote:
        return None
    place = start
    if spelling.delimiter != " ":
        while place < len(text) and text[place] == " ":
            place += 1
    return place + len(spelling.quote) if text.startswith(spelling.quote, place) else None


def _closing(text: str, start: int, spelling: Spelling, mode: str, found: Split) -> int | None:
    """Where the quoted cell that opened before `start` ends, or None when nothing closes it."""
    closer, place, stray = spelling.closer, start, 0
    fallback: int | None = None
    while (place := text.find(closer, place)) >= 0:
        if spelling.escape == "\\" and _is_escaped(text, start, place):
            place += 1
            continue
        if _ends_here(text, place + 1, spelling, mode) and not (mode == EVEN and stray % 2):
            found.stray += stray
            return place
        if text.startswith(closer, place + 1):
            if _ends_here(text, place + 2, spelling, mode):
                if mode == EVEN and stray % 2:
                    found.stray += stray + 1
                    return place + 1
                fallback = fallback or place + 1
            place += 2
            continue
        stray += 1
        place += 1
    if fallback is not None:
        found.stray += stray + 1
    return fallback


def _is_escaped(text: str, start: int, place: int) -> bool:
    count = 0
    while place - count - 1 >= start and text[place - count - 1] == "\\":
        count += 1
    return count % 2 == 1


def _ends_here(text: str, place: int, spelling: Spelling, mode: str) -> bool:
    rest = place
    if not spelling.runs and spelling.delimiter != " ":
        while rest < len(text) and text[rest] == " " and not text.startswith(spelling.delimiter or "\n", rest):
            rest += 1
    if rest >= len(text):
        return True
    if not spelling.delimiter:
        return False
    if not text.startswith(spelling.delimiter, rest):
        bare = spelling.delimiter.rstrip()
        return len(text) - rest == len(bare) > 0 and text.endswith(bare)
    if mode == BESIDE:
        return text.startswith(spelling.quote, rest + len(spelling.delimiter))
    return True


def _after(text: str, place: int, spelling: Spelling) -> int | None:
    """The start of the cell after a closed quote; None at the end of the record."""
    at = text.find(spelling.delimiter, place) if spelling.delimiter else -1
    if at < 0:
        return len(text) if spelling.delimiter and text[place:].strip() else None
    return _skip_run(text, at + len(spelling.delimiter), spelling)


def _skip_run(text: str, place: int, spelling: Spelling) -> int:
    while spelling.runs and text.startswith(spelling.delimiter, place):
        place += len(spelling.delimiter)
    return place


def _plain_end(text: str, start: int, spelling: Spelling) -> int | None:
    if not spelling.delimiter:
        return None
    place = text.find(spelling.delimiter, start)
    while place >= 0 and spelling.escape == "\\" and _is_escaped(text, start, place):
        place = text.find(spelling.delimiter, place + 1)
    if place < 0 and len(spelling.delimiter) > 1 and spelling.delimiter.rstrip():
        # An editor that trims line ends leaves the last delimiter without its space.
        bare = len(text) - len(spelling.delimiter.rstrip())
        if bare >= start and text[bare:] == spelling.delimiter.rstrip():
            return bare
    return None if place < 0 else place


def _unescaped(cell: str, spelling: Spelling) -> str:
    double = spelling.closer * 2
    if spelling.escape != "\\":
        return cell.replace(double, spelling.closer)
    # Some programs write both ways into one file.
    signs = {spelling.delimiter, spelling.quote, spelling.closer, "\\", "\n"}
    either = re.compile(rf"\\(.)|{re.escape(double)}", re.DOTALL)
    return either.sub(lambda match: spelling.closer if match[1] is None else _plain_sign(match, signs), cell)


def _plain_sign(match: re.Match[str], signs: set[str]) -> str:
    return match[1] if match[1] in signs else match[0]


def mended(split: Split, width: int, spelling: Spelling) -> list[str]:
    """Cells of a record with an unpaired quote, brought to `width` where that tells what was one cell.

    Step 1: too many cells, and one that opens or ends with a lone quote: its neighbours are joined again.
    Step 2: in a record whose other cells are quoted, the lone quote is taken off; elsewhere it stays as text.
    """
    cells, quote = list(split.cells), spelling.quote
    surplus = len(cells) - width
    lone = [place for place, cell in enumerate(cells) if quote and cell.count(quote) == 1]
    if len(lone) != 1:
        return cells
    place = lone[0]
    cell = cells[place].strip()
    opens, ends = cell.startswith(quote), cell.endswith(quote)
    if surplus > 0 and opens and place + surplus < len(cells):
        joined = spelling.delimiter.join(cells[place : place + surplus + 1])
        return [*cells[:place], joined.replace(quote, "", 1), *cells[place + surplus + 1 :]]
    if surplus > 0 and ends and place - surplus >= 0:
        joined = spelling.delimiter.join(cells[place - surplus : place + 1])
        return [*cells[: place - surplus], joined.rstrip()[: -len(quote)], *cells[place + 1 :]]
    if split.quoted and split.quoted >= len(cells) - 1 and (opens or ends):
        cells[place] = cell[len(quote) :] if opens else cell[: -len(quote)]
    return cells
