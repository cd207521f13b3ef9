"""The two doors to a field file: read it whole, or open it as a stream."""

import io
from functools import partial
from pathlib import Path

from herd.intake.reading.contents import format_of
from herd.intake.reading.delimiters import spelling_of
from herd.intake.reading.encodings import Survey
from herd.intake.reading.layout import layout_of, usual_width
from herd.intake.reading.outcome import Dialect, FieldTable, Limits, UnreadableFile
from herd.intake.reading.padding import has_padded_cells, has_spare_last_column
from herd.intake.reading.records import Record
from herd.intake.reading.sources import FieldSource, Origin
from herd.intake.reading.spelling import Spelling
from herd.intake.reading.texts import NumberRecords, Opener, TextFile, TextRecords
from herd.intake.reading.workbooks import open_workbook

_NO_LIMITS_GIVEN = Limits()
_NO_PATH = "pasted text"


def read_field_file(path: str | Path, name: str | None = None) -> FieldTable:
    """The whole file as a table of text; `name` is the original file name when `path` is a temporary one.

    Raises UnreadableFile with a code and one sentence when the file is no table.
    """
    source = open_field_file(path, name)
    rows, lines = [], []
    for line, cells in source.rows():
        rows.append(cells)
        lines.append(line)
    return FieldTable(source.name, source.header, rows, lines, source.dialect, source.warnings)


def open_field_file(
    path_or_bytes: str | Path | bytes, name: str | None = None, limits: Limits = _NO_LIMITS_GIVEN
) -> FieldSource:
    """Open a field file (a path, or its bytes) as a stream of rows in flat memory.

    Raises UnreadableFile; any failure of a library on the way is told as one with the code `damaged`.
    """
    try:
        if isinstance(path_or_bytes, bytes):
            return _opened(partial(io.BytesIO, path_or_bytes), name or _NO_PATH, len(path_or_bytes), limits)
        path = Path(path_or_bytes)
        return _opened(lambda: path.open("rb"), name or path.name, path.stat().st_size, limits)
    except (UnreadableFile, FileNotFoundError, MemoryError):
        raise
    except Exception as error:
        raise UnreadableFile("damaged", "The file is damaged and could not be read.") from error


def _opened(opener: Opener, name: str, size: int, limits: Limits) -> FieldSource:
    if size == 0:
        raise UnreadableFile("empty", "The file is empty.")
    with opener() as stream:
        head = stream.read(4_096)
        kind = format_of(head, stream, size, limits)
    if kind != "text":
        return open_workbook(opener, name, kind, limits)
    text = TextFile.surveyed(opener)
    numbers = NumberRecords.found_in(text)
    if numbers is not None:
        return _source(name, numbers, numbers.sampled(), _dialect(text.survey, Spelling("", "", "")), limits)
    return _delimited(text, name, limits)


def _delimited(text: TextFile, name: str, limits: Limits) -> FieldSource:
    forced = text.sample[0].strip().lower()
    has_mark = forced.startswith("sep=") and len(forced) == 5
    spelling = spelling_of(text.sample[1:] if has_mark else text.sample, forced[4] if has_mark else None)
    records = TextRecords(text, spelling, 0, limits)
    records.width = usual_width(records.sampled())
    sample = records.sampled()
    if not sample:
        raise UnreadableFile("damaged", "The file is one line too long to be a record.")
    source = _source(name, records, sample, _dialect(text.survey, spelling), limits)
    if text.survey.errors == "one_byte_letters":
        source.note(None, "mixed_encoding", "Some letters are not UTF-8; they were read as Windows-1252.")
    return source


def _source(name: str, origin: Origin, sample: list[Record], dialect: Dialect, limits: Limits) -> FieldSource:
    layout = layout_of(sample)
    body = [record.cells for record in sample if record.line >= layout.data_from]
    padded = has_padded_cells(body, layout.width)
    spare = has_spare_last_column(body, layout.header)
    if padded:
        layout.header = [cell.strip() for cell in layout.header]
    if spare and layout.header and not layout.header[-1]:
        layout.header = layout.header[:-1]
    source = FieldSource(name, origin, layout, dialect, limits)
    source.padded, source.cut_last = padded, spare
    source.judged(sample, origin.last() if sample[-1].line < dialect.total_lines - 1 else [])
    return source


def _dialect(survey: Survey, spelling: Spelling) -> Dialect:
    return Dialect(
        format="text",
        encoding=survey.encoding,
        byte_order_mark=survey.byte_order_mark,
        delimiter=spelling.delimiter,
        quote=spelling.quote,
        escape=spelling.escape,
        line_ending=survey.line_ending,
        total_lines=survey.total_lines,
    )
