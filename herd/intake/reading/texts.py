"""Text files as a stream of records, opened anew for each pass so that memory stays flat."""

import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import BinaryIO

from herd.intake.reading.dressing import Dressing, dressing_of, undressed
from herd.intake.reading.encodings import SAMPLE, Survey, survey_text
from herd.intake.reading.numbers import is_number_list, numbers_of
from herd.intake.reading.outcome import Limits, Notes, UnreadableFile
from herd.intake.reading.records import Block, Record, RecordReader
from herd.intake.reading.spelling import Spelling
from herd.intake.reading.words import header_words

_LONGEST_LINE = 64 * 1024 * 1024
_TAIL = 64 * 1024
# Blanks and the usual delimiters: a file of these alone says nothing.
_NOTHING = " \r\n\t\f\v\x00\x1a\ufeff,;|"

Opener = Callable[[], BinaryIO]


@dataclass(slots=True)
class TextFile:
    """The bytes of a text file together with their survey; gives lines, from the start or the end."""

    opener: Opener
    survey: Survey
    sample: list[str] = field(default_factory=list)
    dressing: Dressing = Dressing.NONE

    @classmethod
    def surveyed(cls, opener: Opener) -> "TextFile":
        """Open, survey and sample the text; raises UnreadableFile when it is binary or empty."""
        with opener() as stream:
            text = cls(opener, survey_text(stream))
        if text.survey.characters == text.survey.nuls:
            raise UnreadableFile("empty", "The file is empty.")
        size = 0
        for line in text.lines():
            text.sample.append(line)
            size += len(line)
            if size > SAMPLE:
                break
        if not any(line.strip(_NOTHING) for line in text.sample) and text.is_sampled_whole:
            raise UnreadableFile("empty", "The file holds nothing but blank lines and empty cells.")
        text.dressing = dressing_of(text.sample)
        text.sample = [undressed(line, text.dressing) for line in text.sample]
        return text

    @property
    def is_sampled_whole(self) -> bool:
        """True when the sample holds every line of the file."""
        return len(self.sample) >= self.survey.total_lines

    def lines(self, notes: Notes | None = None) -> Iterator[str]:
        """Every physical line with its end, zero bytes taken out; any of LF, CRLF and CR ends a line."""
        with self.opener() as stream:
            text = io.TextIOWrapper(stream, self.survey.encoding, self.survey.errors, newline="")
            if self.survey.byte_order_mark:
                text.read(1)
            lines = _without_nuls(text, notes) if self.survey.nuls else text
            yield from (undressed(line, self.dressing) for line in lines) if self.dressing else lines

    def tail(self) -> tuple[int, list[str]]:
        """The number of the first of the last lines (about 64 KiB of them), and those lines."""
        with self.opener() as stream:
            size = stream.seek(0, io.SEEK_END)
            stream.seek(max(0, (size - _TAIL) // 4 * 4))
            content = stream.read()
        text = content.decode(self.survey.encoding, "replace").replace("\x00", "")
        lines = [undressed(line, self.dressing) for line in io.StringIO(text, newline="")][1:]
        return self.survey.total_lines - len(lines) + 1, lines


def _without_nuls(lines: Iterable[str], notes: Notes | None) -> Iterator[str]:
    for number, line in enumerate(lines, 1):
        if "\x00" not in line:
            yield line
            continue
        if notes is not None:
            notes.add(number, "nul_bytes", f"Line {number} holds zero bytes, which are no text; they were left out.")
        yield line.replace("\x00", "")


@dataclass(slots=True)
class TextRecords:
    """The records of a delimited text file."""

    text: TextFile
    spelling: Spelling
    width: int
    limits: Limits

    def blocks(self, notes: Notes) -> Iterator[Block]:
        """All records from the first line on, in blocks."""
        reader = RecordReader(self.spelling, self.width, notes.add)
        yield from reader.blocks(_checked(self.text.lines(notes), self.limits))

    def sampled(self) -> list[Record]:
        """The records of the sample; the last one is left out when the sample may have cut it."""
        reader = RecordReader(self.spelling, self.width)
        records = [record for block in reader.blocks(self.text.sample) for record in block.records()]
        return records if self.text.is_sampled_whole or len(records) == 1 else records[:-1]

    def last(self) -> list[Record]:
        """The last records of a file that is longer than its sample."""
        first, lines = self.text.tail()
        return list(RecordReader(self.spelling, self.width).records(lines, first))


def _checked(lines: Iterator[str], limits: Limits) -> Iterator[str]:
    for line in lines:
        if len(line) > limits.max_cell:
            _check_long_line(line, limits)
        yield line


def _check_long_line(line: str, limits: Limits) -> None:
    if len(line) > _LONGEST_LINE or len(line.strip("\x00 \r\n")) > limits.max_cell * limits.max_columns:
        raise UnreadableFile("cell_too_long", "A line of the file is too long to be a record.")


@dataclass(slots=True)
class NumberRecords:
    """A plain list of 15-digit numbers, one or many on a line; each number becomes a record of its own."""

    text: TextFile
    first: int = 1

    @classmethod
    def found_in(cls, text: TextFile) -> "NumberRecords | None":
        """The list when the sample is one, with or without one line above it that names the column."""
        lines = text.sample
        if is_number_list(lines):
            return cls(text)
        if len(lines) > 1 and header_words(lines[0]) and not any(sign.isdigit() for sign in lines[0]):
            return cls(text, 2) if is_number_list(lines[1:]) else None
        return None

    def blocks(self, notes: Notes) -> Iterator[Block]:
        """One record for each number; a line that holds something else is kept whole."""
        for number, line in enumerate(self.text.lines(notes), 1):
            rows = [[line.rstrip("\r\n")]] if number < self.first or not is_number_list([line]) else None
            if rows is None:
                found, glued = numbers_of(line)
                rows = [[each] for each in found]
                if glued:
                    text = f"Line {number} holds numbers run together; they were parted after every 15 digits."
                    notes.add(number, "glued_numbers", text)
            yield Block([number] * len(rows), rows, [1] * len(rows))

    def sampled(self) -> list[Record]:
        """The records of the sample's lines."""
        records: list[Record] = []
        for block in self.blocks(Notes()):
            records += block.records()
            if len(records) > 500 or (records and records[-1].line >= len(self.text.sample)):
                break
        return records

    def last(self) -> list[Record]:
        """None: a list of numbers has no footer."""
        return []
