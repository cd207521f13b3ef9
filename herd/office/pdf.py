"""A table as a PDF to hand over: its title and sentence, the outfit, when it was made, every page numbered."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import chain, islice
from tempfile import TemporaryFile
from typing import IO

from reportlab.lib.pagesizes import landscape, letter
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from herd.office.letters import BOLD, TEXT, plain
from herd.office.tables import Cell

SIZE, LEADING, TITLE_SIZE = 9, 11.5, 15
# Points: 72 to the inch; between columns, and between the lines of two rows.
MARGIN, GAP, PAD = 43, 8, 4
# Widths are measured on the first rows; what is wider further down is broken into lines.
MEASURED = 300
# An EID stays in one piece, and so do other words up to the longest of these; a longer one may be broken.
EID_WIDTH = 15 * stringWidth("0", TEXT, SIZE)
LONGEST_WORD = 110
# A table with many columns is written smaller, down to half the size.
SCALES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands on a document: the title, the sentence under it, and the line that says whose and of when it is."""

    title: str
    about: str
    made: str


@dataclass(slots=True)
class _Page:
    """Where on which page the pen stands, and how wide the columns are."""

    canvas: Canvas
    heading: Heading
    columns: Sequence[str]
    widths: Sequence[float]
    figures: frozenset[int]
    size: tuple[float, float]
    scale: float
    number: int = 1
    top: float = field(init=False)

    def __post_init__(self) -> None:
        self.top = self.size[1] - MARGIN

    @property
    def room(self) -> float:
        """How much of the page is left above the foot."""
        return self.top - MARGIN - LEADING


def pdf_of(heading: Heading, columns: Sequence[str], rows: Iterator[Sequence[Cell]]) -> IO[bytes]:
    """Write the table into a file of its own, which is gone when it is closed, and return it from its start.

    The rows are read once, days and moments in them given as text. Columns of figures stand to the right. A table
    too wide for an upright sheet lies on its side.
    """
    read = list(islice(rows, MEASURED))
    figures = frozenset(at for at in range(len(columns)) if _is_figures([row[at] for row in read]))
    first = [_plain_row(row) for row in read]
    needs = [_need(name, [row[at] for row in first]) for at, name in enumerate(columns)]
    size, scale = _sheet(needs)
    file = TemporaryFile()  # noqa: SIM115
    canvas = Canvas(file, pagesize=size, pageCompression=1)
    canvas.setTitle(heading.title)
    canvas.setAuthor(heading.made)
    drawn = (size[0] / scale, size[1] / scale)
    page = _Page(canvas, heading, columns, _fitted(needs, drawn[0] - 2 * MARGIN), figures, drawn, scale)
    _begin(page)
    for row in chain(first, map(_plain_row, rows)):
        _write_row(page, row, TEXT)
    if not first:
        _write_lines(page, ["Nothing to list."], TEXT, SIZE)
    _end(page)
    canvas.save()
    file.seek(0)
    return file


def _begin(page: _Page) -> None:
    page.canvas.scale(page.scale, page.scale)
    width = page.size[0] - 2 * MARGIN
    _write_lines(page, simpleSplit(plain(page.heading.title), BOLD, TITLE_SIZE, width), BOLD, TITLE_SIZE)
    for words in (page.heading.about, page.heading.made):
        _write_lines(page, simpleSplit(plain(words), TEXT, SIZE, width), TEXT, SIZE)
    page.top -= PAD
    _write_row(page, [plain(name) for name in page.columns], BOLD)


def _turn(page: _Page) -> None:
    """Go on a new page, which has the heads of the columns again."""
    _end(page)
    page.canvas.scale(page.scale, page.scale)
    page.number += 1
    page.top = page.size[1] - MARGIN
    _write_row(page, [plain(name) for name in page.columns], BOLD)


def _end(page: _Page) -> None:
    page.canvas.setFont(TEXT, SIZE)
    page.canvas.drawString(MARGIN, MARGIN - LEADING, plain(f"{page.heading.title} · {page.heading.made}")[:110])
    page.canvas.drawRightString(page.size[0] - MARGIN, MARGIN - LEADING, f"page {page.number}")
    page.canvas.showPage()


def _write_lines(page: _Page, lines: Sequence[str], font: str, size: float) -> None:
    for line in lines:
        page.top -= size * 1.3
        page.canvas.setFont(font, size)
        page.canvas.drawString(MARGIN, page.top, line)


def _write_row(page: _Page, row: Sequence[str], font: str) -> None:
    """Write one row; one that is higher than what is left goes on the next page, piece by piece where it must."""
    cells = [_broken(cell, font, width) for cell, width in zip(row, page.widths, strict=True)]
    height = max(map(len, cells), default=1)
    is_split = height * LEADING > page.size[1] / 2
    if font == TEXT and page.room < (3 * LEADING if is_split else height * LEADING + PAD):
        _turn(page)
    for line in range(height):
        if page.room < LEADING and font == TEXT:
            _turn(page)
        page.top -= LEADING
        page.canvas.setFont(font, SIZE)
        _write_line(page, [cell[line] if line < len(cell) else "" for cell in cells])
    page.top -= PAD
    page.canvas.setStrokeGray(0.2 if font == BOLD else 0.75)
    page.canvas.line(MARGIN, page.top + 1, page.size[0] - MARGIN, page.top + 1)


def _write_line(page: _Page, texts: Sequence[str]) -> None:
    left: float = MARGIN
    for at, (text, width) in enumerate(zip(texts, page.widths, strict=True)):
        if text and at in page.figures:
            page.canvas.drawRightString(left + width, page.top, text)
        elif text:
            page.canvas.drawString(left, page.top, text)
        left += width + GAP


def _broken(cell: str, font: str, width: float) -> list[str]:
    """The lines of a cell; a word that is wider than its column is cut, since hiding the end would be worse."""
    if "\n" not in cell and stringWidth(cell, font, SIZE) <= width:
        return [cell] if cell else []
    lines = []
    for line in simpleSplit(cell, font, SIZE, width):
        rest = line
        while len(rest) > 1 and stringWidth(rest, font, SIZE) > width:
            fits = len(rest) - 1
            while fits > 1 and stringWidth(rest[:fits], font, SIZE) > width:
                fits -= 1
            lines.append(rest[:fits])
            rest = rest[fits:]
        lines.append(rest)
    return lines


def _is_figures(cells: Sequence[Cell]) -> bool:
    return all(cell is None or isinstance(cell, int | Decimal) for cell in cells) and any(
        cell is not None for cell in cells
    )


def _plain_row(row: Sequence[Cell]) -> tuple[str, ...]:
    return tuple("" if cell is None else plain(str(cell)) for cell in row)


def _need(name: str, cells: Sequence[str]) -> tuple[float, float]:
    """How wide a column has to be so that no word is broken, and how wide it would be at best."""
    words = {word for cell in cells for word in cell.split()}
    widest = max((stringWidth(word, TEXT, SIZE) for word in words), default=0.0)
    heads = max((stringWidth(word, BOLD, SIZE) for word in plain(name).split()), default=0.0)
    least = min(max(widest, heads, EID_WIDTH if "EID" in name else 0.0), LONGEST_WORD) + 1
    best = max((stringWidth(cell, TEXT, SIZE) for cell in cells), default=0.0)
    return least, max(best, stringWidth(plain(name), BOLD, SIZE), least) + 1


def _sheet(needs: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], float]:
    """The size of the sheet and the scale of what is drawn: upright where all fits, else on its side."""
    gaps = GAP * (len(needs) - 1) + 2 * MARGIN
    if sum(best for _, best in needs) + gaps <= letter[0]:
        return letter, 1.0
    side = landscape(letter)
    fits = (one for one in SCALES if sum(least for least, _ in needs) + gaps <= side[0] / one)
    return side, next(fits, SCALES[-1])


def _fitted(needs: Sequence[tuple[float, float]], width: float) -> list[float]:
    """The width of each column: what it needs, and of the rest the narrow ones first what they would like."""
    room = width - GAP * (len(needs) - 1)
    least = sum(one for one, _ in needs)
    if least > room:
        return [one * room / least for one, _ in needs]
    widths, spare, left = [one for one, _ in needs], room - least, len(needs)
    for at in sorted(range(len(needs)), key=lambda one: needs[one][1] - needs[one][0]):
        more = min(needs[at][1] - widths[at], spare / left)
        widths[at], spare, left = widths[at] + more, spare - more, left - 1
    return widths
