"""Further tables below the first one: finding their header rows and matching their columns to the first."""

from dataclasses import dataclass

from herd.intake.reading.cells import CODE, TEXT, TYPED, filled, is_rule, kind_of
from herd.intake.reading.headers import columns_of, header_odds, is_short_number, series_of
from herd.intake.reading.layout import Layout
from herd.intake.reading.records import Record
from herd.intake.reading.words import header_words


@dataclass(frozen=True, slots=True)
class SecondTable:
    """A line that begins a further table: its width, its columns' places in the first, or only its title."""

    width: int
    order: list[int] | None = None
    is_title: bool = False


def order_of(names: list[str], header: list[str]) -> list[int] | None:
    """For each column of `header` its place among `names`, when these are the same names in another order."""
    plain, wanted = [name.strip() for name in names], [name.strip() for name in header]
    if plain == wanted or sorted(plain) != sorted(wanted) or len(set(plain)) < len(plain):
        return None
    return [plain.index(name) for name in wanted]


def second_tables(records: list[Record], layout: Layout, usual: int) -> dict[int, SecondTable]:
    """Header and title lines of further tables among the data records, by their line."""
    found: dict[int, SecondTable] = {}
    if not layout.header or usual < 2:
        return found
    written = [record for record in records if filled(record.cells) and not is_rule(record.cells)]
    for place in range(1, len(written)):
        record, above = written[place], written[place - 1]
        has_gap = record.line > above.line + above.span
        order = order_of(record.cells, layout.header)
        title = place >= 1 and filled(above.cells) == 1 and usual >= 3 and kind_of(_lead(above)) == TEXT
        if order or _is_header(written, place, layout, usual=usual, has_gap=has_gap or title):
            found[record.line] = SecondTable(len(record.cells), order)
            if title and place > 1:
                found[above.line] = SecondTable(1, is_title=True)
    return found


def _lead(record: Record) -> str:
    return next(cell for cell in record.cells if cell.strip())


def _is_header(written: list[Record], place: int, layout: Layout, *, usual: int, has_gap: bool) -> bool:
    cells = written[place].cells
    named = [cell.strip() for cell in cells if cell.strip()]
    if len(named) < 2 or len(set(named)) < len(named) or cells in layout.header_rows:
        return False
    if any(kind_of(cell) in TYPED and not is_short_number(cell) for cell in named):
        return False
    width = len(cells)
    following = [record.cells for record in written[place + 1 : place + 31]]
    if not following or len(following[0]) != width:
        return False
    is_other = width not in (usual, len(written[place - 1].cells))
    if not has_gap and not _stands_out(cells, following, layout, is_other=is_other):
        return False
    columns = columns_of([row for row in following if len(row) == width], width)
    series = series_of([cell.strip() for cell in cells], columns)
    if any(kind_of(cell) in TYPED for place, cell in enumerate(cells) if place not in series):
        return False
    # Few rows below tell little about names and values; those above must speak for names as well, or not against.
    if not is_other and header_odds(cells, layout.columns) < (2.0 if len(following) < 3 else 0.0):
        return False
    # A gap and another width together tell a new table already; its first row then needs to say little.
    return header_odds(cells, columns) > ((0.0 if is_other else 2.0) if has_gap else 4.0)


def _stands_out(cells: list[str], following: list[list[str]], layout: Layout, *, is_other: bool) -> bool:
    """Without a gap above, a header must change the width for good or clash with every typed column."""
    if is_other:
        return all(len(row) == len(cells) for row in following[:2])
    typed = [place for place, column in enumerate(layout.columns) if column.is_typed and place < len(cells)]
    clashes = [place for place in typed if kind_of(cells[place]) in (TEXT, CODE)]
    words = sum(1 for cell in cells if header_words(cell))
    return len(typed) >= 2 and len(clashes) == len(typed) and words >= 2
