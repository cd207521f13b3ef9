"""What reading a field file gives back: the table, how the file was written, warnings, and refusals."""

from dataclasses import asdict, dataclass, field
from typing import Any

MIB = 1024 * 1024


class UnreadableFile(ValueError):  # noqa: N818 (the name other rooms know it by)
    """The file cannot be read as a table; `code` is for programs, `reason` is one sentence for people."""

    def __init__(self, code: str, reason: str) -> None:
        super().__init__(reason)
        self.code = code
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Limits:
    """How large a file may be: sizes in bytes, `max_cell` in characters, `max_ratio` unpacked to packed."""

    max_bytes: int = 200 * MIB
    max_workbook_bytes: int = 50 * MIB
    max_unpacked_bytes: int = 400 * MIB
    max_ratio: int = 200
    max_columns: int = 1_000
    max_cell: int = 1_000_000


@dataclass(frozen=True, slots=True)
class ReadingWarning:
    """One thing a person should know about the file; `line` is counted in the file as it is, from 1."""

    line: int | None
    code: str
    text: str


@dataclass(frozen=True, slots=True)
class Dialect:
    """How the file was written, and what became of every physical line of it.

    `blank_lines` and `continued_lines` are counts: empty lines, and lines that continue a quoted record. The
    distinct data lines, `header_lines`, `preamble_lines`, `footer_lines`, `passed_lines` and the two counts
    add up to `total_lines`. While a source is being streamed the counts cover what has been read so far.
    """

    format: str = "text"
    encoding: str = ""
    byte_order_mark: bool = False
    delimiter: str = ""
    quote: str = ""
    escape: str = ""
    line_ending: str = ""
    header_line: int | None = None
    header_lines: tuple[int, ...] = ()
    first_data_line: int | None = None
    preamble_lines: tuple[int, ...] = ()
    footer_lines: tuple[int, ...] = ()
    passed_lines: tuple[tuple[int, str], ...] = ()
    blank_lines: int = 0
    continued_lines: int = 0
    total_lines: int = 0
    sheet: str = ""

    def as_dict(self) -> dict[str, Any]:
        """The dialect as plain JSON values (tuples become lists)."""
        return {
            name: [list(item) if isinstance(item, tuple) else item for item in value]
            if isinstance(value, tuple)
            else value
            for name, value in asdict(self).items()
        }


@dataclass(slots=True)
class FieldTable:
    """A whole field file as text: `rows` hold data rows only, `row_lines` the line each began on, from 1."""

    name: str
    header: list[str]
    rows: list[list[str]]
    row_lines: list[int]
    dialect: Dialect
    warnings: list[ReadingWarning] = field(default_factory=list)


class Notes:
    """The warnings of one reading: the first of a kind are kept one by one, the rest are counted."""

    SHOWN = 50

    def __init__(self) -> None:
        self.found: list[ReadingWarning] = []
        self._counts: dict[str, int] = {}

    def add(self, line: int | None, code: str, text: str) -> None:
        """Keep one warning, or count it when many of its code are kept already."""
        self._counts[code] = count = self._counts.get(code, 0) + 1
        if count <= self.SHOWN:
            self.found.append(ReadingWarning(line, code, text))

    def close(self) -> None:
        """Say once per code how many warnings were counted beyond those kept."""
        for code, count in self._counts.items():
            if count > self.SHOWN:
                more = count - self.SHOWN
                self.found.append(ReadingWarning(None, code, f"{more} more lines of the file are like these."))
        self._counts.clear()
