"""Writes clean tables with one thing made wrong at a time, beside the table that reading should give back."""

import csv
import io
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.intake.reading.tables import CleanTable

Rows = list[list[str]]


@dataclass(frozen=True, slots=True)
class Polluted:
    """Bytes with one thing wrong, and the header and rows they stand for."""

    case: str
    content: bytes
    header: list[str]
    rows: Rows


@dataclass(frozen=True, slots=True)
class Style:
    """How a table is written down."""

    delimiter: str = ","
    quote: str = '"'
    escape: str = "double"
    end: str = "\r\n"
    encoding: str = "utf-8"
    every: bool = False
    closer: str = ""


def cell_text(cell: str, style: Style) -> str:
    needs = style.every or any(sign and sign in cell for sign in (style.delimiter, style.quote, "\n", "\r"))
    if not needs or not style.quote:
        return cell
    closer = style.closer or style.quote
    if style.escape == "double":
        cell = cell.replace(closer, closer * 2)
    elif style.escape == "backslash":
        cell = cell.replace("\\", "\\\\").replace(closer, "\\" + closer)
    return style.quote + cell + closer


def line_of(row: list[str], style: Style) -> str:
    return style.delimiter.join(cell_text(cell, style) for cell in row)


def text_of(rows: Rows, style: Style) -> str:
    return "".join(line_of(row, style) + style.end for row in rows)


def written(table: CleanTable, style: Style, case: str) -> Polluted:
    content = text_of([table.header, *table.rows], style).encode(style.encoding)
    return Polluted(f"{table.name}-{case}", content, table.header, table.rows)


def styles(table: CleanTable) -> Iterator[Polluted]:
    """Other delimiters, quotes, escapes, line ends, and encodings."""
    for name, delimiter in {
        "comma": ",",
        "semicolon": ";",
        "tab": "\t",
        "pipe": "|",
        "space": " ",
        "comma-space": ", ",
        "semicolon-space": "; ",
        "double-pipe": "||",
        "caret": "^",
        "tilde": "~",
        "unit-sign": "\x1f",
        "space-pipe-space": " | ",
    }.items():
        yield written(table, Style(delimiter), f"delimiter-{name}")
        yield written(table, Style(delimiter, every=True), f"delimiter-{name}-all-quoted")
    for name, quote, closer in (("apostrophe", "'", "'"), ("curly", "“", "”"), ("backtick", "`", "`")):
        yield written(table, Style(quote=quote, closer=closer), f"quote-{name}")
        yield written(table, Style(quote=quote, closer=closer, every=True), f"quote-{name}-all")
    yield written(table, Style(escape="backslash"), "escape-backslash")
    yield written(table, Style(escape="backslash", every=True), "escape-backslash-all-quoted")
    yield written(table, Style(escape="none", every=True), "escape-none-all-quoted")
    yield written(table, Style(escape="none"), "escape-none")
    for name, end in {"lf": "\n", "cr": "\r", "crlf": "\r\n"}.items():
        yield written(table, Style(end=end), f"end-{name}")
    for encoding in ("utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "utf-32"):
        yield written(table, Style(encoding=encoding), f"encoding-{encoding}")


def headers(table: CleanTable) -> Iterator[Polluted]:
    """Headers missing, repeated, of several rows, with odd names."""
    style, rows = Style(), table.rows
    make = lambda case, lines, header: Polluted(  # noqa: E731
        f"{table.name}-header-{case}", text_of(lines, style).encode(), header, rows
    )
    yield make("missing", rows, [])
    yield make("twice", [table.header, table.header, *rows], table.header)
    second = [f"part {place}" for place in range(len(table.header))]
    third = ["(" + name.lower() + ")" for name in table.header]
    yield make(
        "two-rows",
        [table.header, second, *rows],
        [f"{a} {b}" for a, b in zip(table.header, second, strict=True)],
    )
    yield make(
        "three-rows",
        [table.header, second, third, *rows],
        [" ".join(x) for x in zip(table.header, second, third, strict=True)],
    )
    for case, change in {
        "one-empty": {3: ""},
        "two-empty": {1: "", 5: ""},
        "duplicated": {4: table.header[2]},
        "long": {5: "a very long name " * 30},
        "non-ascii": {2: "Größe µ", 6: "年齢"},
        "spaced": {0: "  " + table.header[0] + " "},
        "quoted": {0: 'the "first"'},
        "comma": {1: "one, two"},
        "newline": {1: "one\ntwo"},
    }.items():
        header = [change.get(place, name) for place, name in enumerate(table.header)]
        yield make(case, [header, *rows], header)
    yield make("repeated-in-the-middle", [table.header, *rows[:40], table.header, *rows[40:]], table.header)


def surroundings(table: CleanTable) -> Iterator[Polluted]:
    """Preambles, footers, blank lines, rules, and sizes at the edge."""
    style = Style()
    body = text_of([table.header, *table.rows], style)
    wide = "," * (len(table.header) - 1)
    before = {
        "title": "Autumn working day\r\n",
        "title-blank": "Autumn working day\r\n\r\n",
        "three": "Outfit: Bar Nine\r\nPrinted on 3 May 2024, 10:15\r\nPage 1\r\n",
        "key-value": "Outfit,Bar Nine\r\nPlace,Creek\r\n\r\n",
        "padded": f"Autumn working day{wide}\r\nPlace: Creek{wide}\r\n",
        "padded-blank": f"Autumn list{wide}\r\n{wide}\r\n",
        "blank": "\r\n\r\n",
        "sep": "sep=,\r\n",
        "comment": "# made by hand\r\n# second remark\r\n",
        "sentence": "This list, made in a hurry, holds what was weighed\r\n",
    }
    for case, text in before.items():
        yield Polluted(f"{table.name}-before-{case}", (text + body).encode(), table.header, table.rows)
    after = {
        "end": "End of report\r\n",
        "blank-note": "\r\nNote: weights before feeding\r\n",
        "count": "80 rows\r\n",
        "rule": "-----\r\nTotal: 80\r\n",
        "padded": f"\r\nSource: yard book{wide}\r\n",
        "page": "Page 1 of 1\r\n",
        "star": "* estimated\r\n** by eye, twice\r\n",
        "blank-lines": "\r\n\r\n\r\n",
        "sentence": "\r\nThe scale was checked that morning.\r\n",
        "totals": "Total" + wide[:-1] + ",1234\r\n",
    }
    for case, text in after.items():
        yield Polluted(f"{table.name}-after-{case}", (body + text).encode(), table.header, table.rows)
    lines = [line_of(row, style) for row in [table.header, *table.rows]]
    join = "\r\n".join
    yield Polluted(f"{table.name}-no-final-end", join(lines).encode(), table.header, table.rows)
    for case, every in {"blank-each": 1, "blank-some": 7}.items():
        text = join(line + "\r\n" if not place % every else line for place, line in enumerate(lines))
        yield Polluted(f"{table.name}-{case}", text.encode(), table.header, table.rows)
    for count in (0, 1, 2, 3, 5):
        yield Polluted(
            f"{table.name}-rows-{count}",
            join(lines[: count + 1]).encode() + b"\r\n",
            table.header,
            table.rows[:count],
        )
    yield Polluted(
        f"{table.name}-trailing-delimiters",
        join(line + "," for line in lines).encode(),
        table.header,
        table.rows,
    )
    text = join([lines[0], "-----,-----,----", *lines[1:]])
    yield Polluted(f"{table.name}-ruled-header", text.encode(), table.header, table.rows)
    for width in (1, 2, 3):
        cut = CleanTable(table.name, table.header[:width], [row[:width] for row in table.rows])
        yield written(cut, style, f"columns-{width}")


def single_rows(table: CleanTable, dice: random.Random) -> Iterator[Polluted]:
    """One row made wrong: a delimiter or a quote or a line end too many or too few."""
    style = Style()
    for place in (0, 1, dice.randrange(2, 78), 79):
        for column in (0, dice.randrange(1, 9), 8):
            yield from _wrong_at(table, style, place, column)


def _wrong_at(table: CleanTable, style: Style, place: int, column: int) -> Iterator[Polluted]:
    def made(case: str, line: str, row: list[str]) -> Polluted:
        lines = [line_of(each, style) for each in [table.header, *table.rows]]
        lines[place + 1] = line
        rows = [list(each) for each in table.rows]
        rows[place] = row
        text = "".join(each + style.end for each in lines)
        return Polluted(f"{table.name}-row-{place}-{column}-{case}", text.encode(), table.header, rows)

    row = table.rows[place]
    cells = [cell_text(cell, style) for cell in row]
    more = [*cells[:column], "", *cells[column:]]
    yield made("more", ",".join(more), [*row[:column], "", *row[column:]])
    if not {cells[column][:1], cells[column + 1][:1]} & {'"'}:
        joined = cells[column] + cells[column + 1]
        fewer = [*row[:column], joined, *row[column + 2 :], ""]
        yield made("fewer", ",".join([*cells[:column], joined, *cells[column + 2 :]]), fewer)
    cut = [*row[: column + 1], *[""] * (9 - column)]
    if any(cut[1:]):
        yield made("short", ",".join(cells[: column + 1]), cut)
    if row[column] and '"' not in row[column] and "," not in row[column]:
        opened = [*cells[:column], '"' + row[column], *cells[column + 1 :]]
        yield made("open-quote", ",".join(opened), [*row[:column], '"' + row[column], *row[column + 1 :]])
        ended = [*cells[:column], row[column] + '"', *cells[column + 1 :]]
        yield made("end-quote", ",".join(ended), [*row[:column], row[column] + '"', *row[column + 1 :]])
    if "," in row[column] and '"' not in row[column]:
        yield made("lost-close", ",".join([*cells[:column], '"' + row[column], *cells[column + 1 :]]), row)
        yield made("lost-open", ",".join([*cells[:column], row[column] + '"', *cells[column + 1 :]]), row)
    inside = [*row[:column], "one, two", *row[column + 1 :]]
    yield made("delimiter-inside", line_of(inside, style), inside)
    broken = [*row[:column], "one\r\ntwo", *row[column + 1 :]]
    yield made("newline-inside", line_of(broken, style), broken)
    quoted = [*row[:column], 'the "big" one', *row[column + 1 :]]
    yield made("quotes-inside", line_of(quoted, style), quoted)
    yield made("unescaped-inside", ",".join([*cells[:column], '"the "big" one"', *cells[column + 1 :]]), quoted)
    spaced = [*row[:column], row[column] + "  ", *row[column + 1 :]]
    if '"' not in cells[column]:
        yield made("trailing-spaces", ",".join([*cells[:column], cells[column] + "  ", *cells[column + 1 :]]), spaced)


def quoted_rows(table: CleanTable, dice: random.Random) -> Iterator[Polluted]:
    """In a file with every cell quoted, one quote lost or one too many."""
    style = Style(every=True, end="\n")
    lines = [line_of(row, style) for row in [table.header, *table.rows]]
    for place in (0, dice.randrange(1, 79), 79):
        for column in (0, 4, 9):
            if '"' in table.rows[place][column] or not table.rows[place][column]:
                continue
            cells = [cell_text(cell, style) for cell in table.rows[place]]
            for case, cell in {"lost-open": cells[column][1:], "lost-close": cells[column][:-1]}.items():
                line = ",".join([*cells[:column], cell, *cells[column + 1 :]])
                text = "\n".join([*lines[: place + 1], line, *lines[place + 2 :]]) + "\n"
                yield Polluted(f"{table.name}-quoted-{place}-{column}-{case}", text.encode(), table.header, table.rows)


def endings(table: CleanTable) -> Iterator[Polluted]:
    """Line ends that differ, padded cells, aligned columns, a second table, zero bytes."""
    lines = [line_of(row, Style()) for row in [table.header, *table.rows]]
    ends = ["\r\n", "\n", "\r"]
    text = "".join(line + ends[place % 3] for place, line in enumerate(lines))
    yield Polluted(f"{table.name}-ends-mixed", text.encode(), table.header, table.rows)
    for name, end in (("lf", "\n"), ("cr", "\r")):
        text = "".join(line + (end if place == 30 else "\r\n") for place, line in enumerate(lines))
        yield Polluted(f"{table.name}-end-once-{name}", text.encode(), table.header, table.rows)
    widths = [max(len(row[place]) for row in [table.header, *table.rows]) for place in range(10)]
    if not any("," in cell or '"' in cell for row in table.rows for cell in row):
        padded = [
            ",".join(cell.ljust(size) for cell, size in zip(row, widths, strict=True))
            for row in [table.header, *table.rows]
        ]
        yield Polluted(f"{table.name}-padded", "\n".join(padded).encode(), table.header, table.rows)
    aligned = [
        "  ".join(cell.ljust(size) for cell, size in zip(row, widths, strict=True))
        for row in [table.header, *table.rows]
    ]
    yield Polluted(f"{table.name}-aligned", "\n".join(aligned).encode(), table.header, table.rows)
    zeros = list(lines)
    zeros[20] = zeros[20].replace(",", ",\x00", 1)
    yield Polluted(f"{table.name}-zero-byte", "\r\n".join(zeros).encode(), table.header, table.rows)
    order = [3, 1, 0, 2, *range(4, 10)]
    other = [line_of([row[place] for place in order], Style()) for row in [table.header, *table.rows[40:]]]
    text = "\r\n".join([*lines[:41], "", "Second list", *other])
    yield Polluted(f"{table.name}-second-reordered", text.encode(), table.header, table.rows)
    fewer = [line_of(row[:6], Style()) for row in [["Place", "Who", "What", "How", "Why", "Then"], *table.rows[40:]]]
    rows = table.rows[:40] + [[*row[:6], "", "", "", ""] for row in table.rows[40:]]
    yield Polluted(f"{table.name}-second-narrower", "\r\n".join([*lines[:41], "", *fewer]).encode(), table.header, rows)


def polluted(table: CleanTable) -> Iterator[Polluted]:
    """Everything that is made wrong with one table."""
    groups: list[Callable[[], Iterator[Polluted]]] = [
        lambda: styles(table),
        lambda: headers(table),
        lambda: surroundings(table),
        lambda: endings(table),
        lambda: single_rows(table, random.Random(f"rows-{table.name}")),
        lambda: quoted_rows(table, random.Random(f"quotes-{table.name}")),
    ]
    for group in groups:
        yield from group()


def plainly_read(content: bytes) -> Rows:
    """What a reader without any judgement makes of UTF-8 text, for comparison."""
    return list(csv.reader(io.StringIO(content.decode("utf-8", "replace"), newline="")))
