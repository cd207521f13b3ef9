"""The readers that are compared, each told nothing but the bytes and used in its own most tolerant automatic way.

Those that take text or UTF-8 only are given the encoding that charset-normalizer finds, after a mark and UTF-8 were
tried. pandas and polars don't judge whether there is a header and take the first line; polars doesn't look for a
delimiter either, so it is given the one that Python's sniffer finds.
"""

import csv
import io
import tempfile
from collections.abc import Callable
from pathlib import Path

import charset_normalizer
import clevercsv
import duckdb
import pandas
import polars
from clevercsv.exceptions import NoDetectionResult

from herd.intake.reading import UnreadableFile, read_field_file
from tests.bench.world.scoring import Found
from tests.bench.world.truth import Rows

_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
_SAMPLE = 64 * 1024


def text_of(content: bytes) -> str:
    """The text of the bytes, as a careful program finds it without knowing our reader."""
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            return content.decode(encoding, "replace")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        best = charset_normalizer.from_bytes(content).best()
        return content.decode(best.encoding if best else "latin-1", "replace")


def even_lines(content: bytes) -> str:
    """The text with every line ended alike, for readers that know one line end only."""
    return text_of(content).replace("\r\n", "\n").replace("\r", "\n")


def ours(content: bytes) -> Found:
    with tempfile.NamedTemporaryFile(suffix=".csv") as file:
        Path(file.name).write_bytes(content)
        try:
            table = read_field_file(file.name)
        except UnreadableFile:
            return Found([], refused=True)
    return Found(table.rows, table.header, table.dialect.delimiter, table.dialect.encoding)


def sniffer(content: bytes) -> Found:
    """Python's own sniffer and csv module."""
    text = text_of(content)
    try:
        dialect = csv.Sniffer().sniff(text[:_SAMPLE])
        has_header = csv.Sniffer().has_header(text[:_SAMPLE])
    except csv.Error:
        dialect, has_header = csv.excel(), True
    rows = list(csv.reader(io.StringIO(text.replace("\x00", ""), newline=""), dialect))
    return _headed(rows, has_header, dialect.delimiter)


def clever(content: bytes) -> Found:
    """clevercsv: dialect and header found on the first 64 kB."""
    text = text_of(content).replace("\x00", "")
    clevercsv.field_size_limit(2**31 - 1)
    detector = clevercsv.Detector()
    dialect = detector.detect(text[:_SAMPLE])
    if dialect is None:
        return Found([], refused=True)
    rows = list(clevercsv.reader(io.StringIO(text, newline=""), dialect))
    try:
        has_header = detector.has_header(text[:_SAMPLE])
    except NoDetectionResult:
        has_header = True
    return _headed(rows, has_header, dialect.delimiter)


def pandas_reader(content: bytes) -> Found:
    """pandas' Python engine, which looks for the delimiter itself; lines too long are passed over."""
    frame = pandas.read_csv(
        io.StringIO(even_lines(content)),
        sep=None,
        engine="python",
        dtype=str,
        header=None,
        keep_default_na=False,
        on_bad_lines="skip",
        skip_blank_lines=True,
    )
    return _headed(frame.fillna("").astype(str).values.tolist(), has_header=True, delimiter=None)


def polars_reader(content: bytes) -> Found:
    """polars with errors passed over, at the delimiter that Python's sniffer finds."""
    text = even_lines(content)
    try:
        delimiter = csv.Sniffer().sniff(text[:_SAMPLE]).delimiter
    except csv.Error:
        delimiter = ","
    frame = polars.read_csv(
        text.encode(),
        separator=delimiter,
        has_header=False,
        infer_schema=False,
        ignore_errors=True,
        truncate_ragged_lines=True,
    )
    return _headed([[cell or "" for cell in row] for row in frame.rows()], has_header=True, delimiter=delimiter)


def duckdb_strict(content: bytes) -> Found:
    """duckdb's sniffer as it comes."""
    return _duckdb(content, "")


def duckdb_loose(content: bytes) -> Found:
    """duckdb's sniffer told to be tolerant of quotes and short rows, and to pass over errors."""
    return _duckdb(content, ", strict_mode=false, null_padding=true, ignore_errors=true, parallel=false")


def _duckdb(content: bytes, more: str) -> Found:
    with tempfile.NamedTemporaryFile(suffix=".csv") as file, duckdb.connect() as base:
        Path(file.name).write_bytes(text_of(content).encode())
        seen = base.execute(f"SELECT Delimiter, HasHeader FROM sniff_csv('{file.name}'{more})").fetchone()
        result = base.execute(f"SELECT * FROM read_csv('{file.name}', all_varchar=true{more})")
        names = [column[0] for column in result.description]
        rows = [[cell or "" for cell in row] for row in result.fetchall()]
    delimiter, has_header = seen or (None, True)
    return Found(rows, names if has_header else [], delimiter)


def _headed(rows: Rows, has_header: bool, delimiter: str | None) -> Found:
    written = [row for row in rows if any(cell.strip() for cell in row)]
    if has_header and written:
        return Found(written[1:], written[0], delimiter)
    return Found(written, [], delimiter)


READERS: dict[str, Callable[[bytes], Found]] = {
    "read_field_file": ours,
    "clevercsv": clever,
    "duckdb": duckdb_strict,
    "duckdb, tolerant": duckdb_loose,
    "pandas": pandas_reader,
    "csv.Sniffer": sniffer,
    "polars": polars_reader,
}
