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

from herd.office.tables import Cell
from herd.values.sheetcells import CONTROLS

TEXT, BOLD = "Helvetica", "Helvetica-Bold"
SIZE, LEADING, TITLE_SIZE = 9, 11.5, 15
# Points: 72 to the inch; between columns, and between the lines of two rows.
MARGIN, GAP, PAD = 43, 8, 4
# Widths are measured on the first rows; what is wider further down is broken into lines.
MEASURED = 300
# No column is squeezed below this, so that an EID of 15 digits stays in one piece.
NARROWEST = 15 * stringWidth("0", TEXT, SIZE)


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
    wanted = [_wanted(at, columns, first) for at in range(len(columns))]
    upright = sum(wanted) + GAP * (len(columns) - 1) <= letter[0] - 2 * MARGIN
    size = letter if upright else landscape(letter)
    file = TemporaryFile()  # noqa: SIM115
    canvas = Canvas(file, pagesize=size, pageCompression=1)
    canvas.setTitle(heading.title)
    canvas.setAuthor(heading.made)
    page = _Page(canvas, heading, columns, _fitted(wanted, size[0] - 2 * MARGIN), figures, size)
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
    width = page.size[0] - 2 * MARGIN
    _write_lines(page, simpleSplit(_plain(page.heading.title), BOLD, TITLE_SIZE, width), BOLD, TITLE_SIZE)
    for words in (page.heading.about, page.heading.made):
        _write_lines(page, simpleSplit(_plain(words), TEXT, SIZE, width), TEXT, SIZE)
    page.top -= PAD
    _write_row(page, [_plain(name) for name in page.columns], BOLD)


def _turn(page: _Page) -> None:
    """Go on a new page, which has the heads of the columns again."""
    _end(page)
    page.number += 1
    page.top = page.size[1] - MARGIN
    _write_row(page, [_plain(name) for name in page.columns], BOLD)


def _end(page: _Page) -> None:
    page.canvas.setFont(TEXT, SIZE)
    page.canvas.drawString(MARGIN, MARGIN - LEADING, _plain(f"{page.heading.title} · {page.heading.made}")[:110])
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
    if height * LEADING + PAD > page.room:
        if font == TEXT and height * LEADING < page.size[1] / 2:
            _turn(page)
        elif page.room < 3 * LEADING:
            _turn(page)
    for line in range(height):
        if page.room < LEADING and font == TEXT:
            _turn(page)
        page.top -= LEADING
        page.canvas.setFont(font, SIZE)
        left: float = MARGIN
        for at, (cell, width) in enumerate(zip(cells, page.widths, strict=True)):
            if line < len(cell) and at in page.figures:
                page.canvas.drawRightString(left + width, page.top, cell[line])
            elif line < len(cell):
                page.canvas.drawString(left, page.top, cell[line])
            left += width + GAP
    page.top -= PAD
    page.canvas.setLineWidth(0.8 if font == BOLD else 0.25)
    page.canvas.line(MARGIN, page.top + 1, page.size[0] - MARGIN, page.top + 1)


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
    return tuple("" if cell is None else _plain(str(cell)) for cell in row)


def _wanted(at: int, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> float:
    """How wide a column would be if nothing in it were broken."""
    cells = max((stringWidth(row[at], TEXT, SIZE) for row in rows), default=0.0)
    return float(max(stringWidth(_plain(columns[at]), BOLD, SIZE), cells)) + 1


def _fitted(wanted: Sequence[float], width: float) -> list[float]:
    """The widths cut to a page: narrow columns keep theirs, the widest share what is left."""
    room = width - GAP * (len(wanted) - 1)
    widths = [0.0] * len(wanted)
    left = len(wanted)
    for at in sorted(range(len(wanted)), key=lambda one: wanted[one]):
        share = room / left
        widths[at] = min(wanted[at], max(share, min(NARROWEST, room)))
        room, left = max(room - widths[at], 1.0), left - 1
    return widths


def _plain(text: str) -> str:
    """A text as the built-in letters of PDF can write it: Latin-1, with a question mark for any other sign."""
    return CONTROLS.sub(" ", text).encode("cp1252", "replace").decode("cp1252")
