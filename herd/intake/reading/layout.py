"""Finding where the table stands in the file: preamble, header rows, units, data, footers, second tables."""

from collections import Counter
from dataclasses import dataclass, field

from herd.intake.reading.cells import EMPTY, TEXT, filled, is_rule, kind_of
from herd.intake.reading.headers import Column, columns_of, header_odds, is_further_header
from herd.intake.reading.records import Record
from herd.intake.reading.words import header_words, is_footer_text, is_preamble_text, is_units_row

_HEADER_ROWS = 3
_FOOTER_ROWS = 15


@dataclass(slots=True)
class Layout:
    """Where things stand, by physical line: header names, and what each line that is no data row is."""

    width: int = 0
    header: list[str] = field(default_factory=list)
    header_lines: list[int] = field(default_factory=list)
    preamble_lines: list[int] = field(default_factory=list)
    passed: dict[int, str] = field(default_factory=dict)
    data_from: int = 1
    columns: list[Column] = field(default_factory=list)
    header_rows: list[list[str]] = field(default_factory=list)


def usual_width(records: list[Record]) -> int:
    """The number of cells most records have; of two equally frequent ones the larger."""
    widths = Counter(len(record.cells) for record in records if filled(record.cells))
    if not widths:
        return 0
    if len(widths) > 1 and widths[1] < sum(widths.values()) * 0.7:
        widths.pop(1, None)
    return max(widths.items(), key=lambda item: (item[1], item[0]))[0]


def layout_of(records: list[Record]) -> Layout:
    """Judge the records of the file's beginning (all of them when the file is short).

    1. Records ahead of the first full one are preamble.
    2. The first full row is a header when it looks unlike the rows below.
    3. Rows under it that name columns too are joined to it; a row of units and rules are passed.
    """
    written = [record for record in records if filled(record.cells)]
    layout = Layout(usual_width(written))
    if not written:
        return layout
    rows = [record for record in written if not is_rule(record.cells)]
    if not rows:
        return layout
    first = _past_narrow_titles(rows, _first_full(rows, layout.width), layout.width)
    first = _skipped_titles(rows, first, layout.width)
    layout.width = _width_at(rows, first, layout.width)
    group = _group_row(rows, first, layout.width)
    top = first if group is None else group
    for record in rows[:top]:
        layout.preamble_lines += _lines(record)
    _take_header(rows, first, group, layout)
    for record in written:
        if record.line < layout.data_from and is_rule(record.cells):
            layout.passed[record.line] = "ruled line"
    layout.preamble_lines.sort()
    return layout


def _lines(record: Record) -> list[int]:
    return list(range(record.line, record.line + record.span))


def _first_full(rows: list[Record], width: int) -> int:
    need = max(1, 0.5 * width)
    for place, record in enumerate(rows):
        if filled(record.cells) >= need and (len(record.cells) >= 0.7 * width or width < 3):
            return place
    for place, record in enumerate(rows):
        if len(record.cells) == width:
            return place
    return 0


def _past_narrow_titles(rows: list[Record], first: int, width: int) -> int:
    """In a table of two columns moves past lines of one cell that stand above its names.

    Half of two is one, so that a title looks as full there as a row whose other cell is missing.
    """
    if width != 2:
        return first
    full = next((place for place, record in enumerate(rows[:12]) if filled(record.cells) == width), first)
    if full <= first or any(len(record.cells) != 1 for record in rows[first:full]):
        return first
    columns = columns_of(_body(rows, full + 1, width), width)
    titles = all(kind_of(record.cells[0]) == TEXT for record in rows[first:full])
    odds = header_odds(rows[full].cells, columns)
    return full if odds > 1.5 or (titles and odds > 0) else first


def _skipped_titles(rows: list[Record], first: int, width: int) -> int:
    """Moves past titles that happen to have enough cells, when a much better header stands below them."""
    place = first
    for _ in range(8):
        if place + 2 >= len(rows):
            break
        text = " ".join(cell for cell in rows[place].cells if cell)
        narrow = len(rows[place].cells) < width or filled(rows[place].cells) <= 0.5 * width or width <= 2
        below = _body(rows, place + 2, width)
        is_title = is_preamble_text(text) or _is_left_part(rows[place].cells, rows[place + 1].cells)
        if not (narrow and below and is_title):
            break
        columns = columns_of(below, width)
        if header_odds(rows[place + 1].cells, columns) < 1.5 or not _names_better(rows, place, columns):
            break
        place += 1
    return place


def _width_at(rows: list[Record], first: int, width: int) -> int:
    """The width of the table that begins here, where a longer but narrower one further down made another usual."""
    widths = {len(record.cells) for record in rows[first : first + 2]}
    return max(width, *widths) if len(widths) == 1 and first + 1 < len(rows) else width


def _is_left_part(cells: list[str], below: list[str]) -> bool:
    """True for a row whose right half is empty while the next row is filled, as padded key and value are."""
    count = filled(cells)
    return count <= len(cells) / 2 and not any(cell.strip() for cell in cells[count:]) and filled(below) > count + 1


def _names_better(rows: list[Record], place: int, columns: list[Column]) -> bool:
    upper, lower = rows[place].cells, rows[place + 1].cells
    if len(columns) == 1:
        return header_words(lower[0]) > 0 and len(lower[0]) < len(upper[0])
    return filled(lower) > filled(upper) or header_odds(lower, columns) >= header_odds(upper, columns) - 1


def _group_row(rows: list[Record], first: int, width: int) -> int | None:
    """A sparse row of group names right above the header: as wide as the table, with gaps in it."""
    if first == 0 or width < 3:
        return None
    above = rows[first - 1].cells
    named = [place for place, cell in enumerate(above) if cell.strip()]
    if len(above) < width or len(named) < 2 or named[-1] - named[0] == len(named) - 1:
        return None
    return first - 1 if all(kind_of(above[place]) == TEXT for place in named) else None


def _body(rows: list[Record], start: int, width: int) -> list[list[str]]:
    """Rows from `start` on, without those that repeat the row above, which may be names printed on each page."""
    above = rows[start - 1].cells if start and width > 1 else None
    below = [record.cells for record in rows[start : start + 150] if record.cells != above]
    return [cells for cells in below if len(cells) == width] or [cells for cells in below if filled(cells) >= width / 2]


def _take_header(rows: list[Record], first: int, group: int | None, layout: Layout) -> None:
    width = layout.width
    columns = columns_of(_body(rows, first + 1, width), width)
    odds = header_odds(rows[first].cells, columns)
    layout.columns = columns
    layout.data_from = rows[first].line if group is None else rows[group].line
    if odds <= 0:
        layout.columns = columns_of(_body(rows, first, width), width)
        layout.data_from = rows[first].line
        if group is not None:
            layout.preamble_lines += _lines(rows[group])
        return
    names = [rows[first]] if group is None else [rows[group], rows[first]]
    place = first + 1
    while place < len(rows) and place - first < _HEADER_ROWS:
        record = rows[place]
        if record.cells == rows[first].cells:
            layout.passed[record.line] = "header repeated"
        elif is_units_row(record.cells) and len(record.cells) <= width + 1 and not _is_known(record.cells, columns):
            layout.passed[record.line] = "row of units"
        elif _names_too(rows, place, odds, width):
            names.append(record)
        else:
            break
        place += 1
    layout.columns = columns_of(_body(rows, place, width), width)
    layout.header_lines = [line for record in names for line in _lines(record)]
    layout.header_rows = [record.cells for record in names]
    layout.header = _joined(layout.header_rows)
    layout.data_from = rows[place].line if place < len(rows) else rows[-1].line + rows[-1].span
    layout.width = max(len(layout.header), 1)


def _is_known(cells: list[str], columns: list[Column]) -> bool:
    """True when a cell is written in further rows as well, as letters that are codes are and units are not."""
    return any(cell.strip() and column.values[cell.strip()] > 1 for cell, column in zip(cells, columns, strict=False))


def _names_too(rows: list[Record], place: int, odds: float, width: int) -> bool:
    below = _body(rows, place + 1, width)
    cells = rows[place].cells
    if width < 2 or len(below) < 2 or filled(cells) < max(2, width / 3) or abs(len(cells) - width) > 1:
        return False
    return is_further_header(cells, columns_of(below, width), odds)


def _joined(rows: list[list[str]]) -> list[str]:
    width = max(len(row) for row in rows)
    if len(rows) == 1:
        return list(rows[0])
    padded = [row + [""] * (width - len(row)) for row in rows]
    return [" ".join(part.strip() for part in parts if part.strip()) for parts in zip(*padded, strict=True)]


def footer_records(records: list[Record], layout: Layout) -> list[Record]:
    """Those of the file's last records that are no data: totals, counts, notes, page numbers."""
    found: list[Record] = []
    # A comma within a sentence has a space behind it, which those between cells seldom have.
    is_spaced = any(_is_spaced(record.cells) for record in records if len(record.cells) == layout.width)
    for place in range(len(records) - 1, max(-1, len(records) - 1 - _FOOTER_ROWS), -1):
        record = records[place]
        if not filled(record.cells):
            continue
        blank_above = place > 0 and not filled(records[place - 1].cells)
        is_sentence = not is_spaced and len(record.cells) < layout.width and _is_spaced(record.cells)
        if is_sentence or is_rule(record.cells) or is_footer(record.cells, layout, after_blank=blank_above):
            found.append(record)
        elif not _leads_to_footer(record.cells, layout, found):
            break
        else:
            found.append(record)
    while found and is_rule(found[-1].cells) and len(found) == 1:
        found.pop()
    return found[::-1]


def _is_spaced(cells: list[str]) -> bool:
    return len(cells) > 1 and all(cell.startswith(" ") for cell in cells[1:])


def _leads_to_footer(cells: list[str], layout: Layout, found: list[Record]) -> bool:
    return bool(found) and layout.width >= 3 and filled(cells) == 1 and _is_foreign(cells[0], layout)


def _is_foreign(cell: str, layout: Layout) -> bool:
    """True when the cell is of another kind than the first column's cells are."""
    usual = layout.columns[0].usual_kind if layout.columns else EMPTY
    return kind_of(cell) != usual


def _is_prose(text: str, layout: Layout, *, alone: bool, after_blank: bool) -> bool:
    """True for a text that is no more value of the first column, by its length or by its words and place."""
    if alone and " " in text and len(text) > 2 * layout.columns[0].length:
        return True
    return (after_blank and text.count(" ") >= 2) or (" " in text and not text[0].isalnum())


def is_footer(cells: list[str], layout: Layout, *, after_blank: bool) -> bool:
    """True when a record at the end reads as a footer, given the table's columns."""
    written = [cell for cell in cells if cell.strip()]
    lead, width = written[0], layout.width
    known = layout.columns[0].values[lead.strip()] if layout.columns else 0
    if is_footer_text(lead) and known < 2:
        return len(written) < width or width == 1 or _is_foreign(cells[0], layout)
    if width < 3:
        return False
    if len(written) == 1 and cells[0].strip():
        return _is_foreign(lead, layout) or _is_prose(lead, layout, alone=len(cells) == 1, after_blank=after_blank)
    return after_blank and len(cells) < width and len(written) <= width / 2 and _is_foreign(lead, layout)
