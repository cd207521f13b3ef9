"""A field file in the making: its lines, its shape, and how it becomes bytes."""

import csv
from dataclasses import dataclass, field
from datetime import date
from io import BytesIO, StringIO
from random import Random
from typing import Any

from openpyxl import Workbook

from tests.noisy.herds import Head
from tests.noisy.kinds import Fault

# Words of the trade that head such columns (common practice, no source).
HEADERS = {
    "eid": ("EID", "Electronic ID", "RFID", "Electronic tag", "EID tag"),
    "vid": ("VID", "Visual tag", "Visual ID", "Ranch tag", "Arete visual"),
    "colour": ("Tag color", "Tag colour", "Color de arete"),
    "date": ("Date", "Work date", "Fecha"),
    "time": ("Time", "Scan time", "Hora"),
    "pregnancy": ("Preg", "Pregnancy", "Preg check", "Palpation"),
    "days": ("Days bred", "Days pregnant", "Gestation days"),
    "bcs": ("BCS", "Body condition", "Condition score"),
    "tube": ("Sample tube", "Tube no", "Tube ID"),
    "note": ("Note", "Remarks", "Comments"),
}
WEIGHT_HEADERS = {"lb": ("Weight (lb)", "Wt lbs", "Weight lb"), "kg": ("Weight (kg)", "LW kg", "Peso kg")}
DELIMITERS = {"csv": ",", "tsv": "\t", "semicolon": ";", "pipe": "|"}
ENDINGS = {"csv": "csv", "tsv": "tsv", "semicolon": "csv", "pipe": "txt", "list": "txt", "xlsx": "xlsx"}


@dataclass(slots=True)
class Line:
    """One line: the animal it is about, what is written, what of it is true, and what was done to it.

    A kept line stays as it is, because it is what gives another line's fault away.
    """

    head: Head | None
    cells: dict[str, str]
    true: dict[str, Any]
    faults: set[Fault] = field(default_factory=set)
    is_kept: bool = False
    is_long: bool = False
    is_short: bool = False


@dataclass(slots=True)
class Sheet:
    """One file: its columns in order, its lines, and the shape they are written in."""

    name: str
    form: str
    columns: list[str]
    lines: list[Line]
    unit: str = "lb"
    date_form: str = "%Y-%m-%d"
    encoding: str = "utf-8"
    newline: str = "\r\n"
    preamble: list[str] = field(default_factory=list)
    footer: str = ""
    blank_lines: int = 0

    def has(self, *columns: str) -> bool:
        """Whether it has all these columns."""
        return set(columns) <= set(self.columns)


def shape(chance: Random, name: str, columns: list[str], forms: tuple[str, ...]) -> Sheet:
    """Choose the shape of a file."""
    form = chance.choice(forms)
    columns = list(columns)
    if form != "list":
        chance.shuffle(columns)
    return Sheet(
        name=f"{name}.{ENDINGS[form]}",
        form=form,
        columns=columns,
        lines=[],
        unit=chance.choice(("lb", "lb", "kg")),
        date_form=chance.choice(("%Y-%m-%d", "%m/%d/%Y", "%d/%m/%Y", "%d.%m.%Y")),
        encoding=chance.choice(("utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252")),
        newline=chance.choice(("\r\n", "\n")),
        blank_lines=chance.choice((0, 0, 3)),
    )


def header_of(sheet: Sheet, chance: Random) -> list[str]:
    """Choose how the columns are headed; a plain list has no header."""
    words = {**HEADERS, "weight": WEIGHT_HEADERS[sheet.unit]}
    return [] if sheet.form == "list" else [chance.choice(words[column]) for column in sheet.columns]


def written(sheet: Sheet, header: list[str]) -> tuple[bytes, list[int], list[int]]:
    """Return the file's bytes, the line of each of its lines, and the lines that are not about an animal."""
    rows: list[list[str]] = [[text] for text in sheet.preamble]
    if header:
        rows.append(header)
    first = len(rows) + 1
    rows += [_row(sheet, line) for line in sheet.lines]
    loose = []
    if sheet.footer:
        rows.append([sheet.footer, str(len(sheet.lines))][: len(sheet.columns)])
        loose.append(len(rows))
    content = _workbook(rows) if sheet.form == "xlsx" else _text(sheet, rows)
    return content, [first + place for place in range(len(sheet.lines))], loose


def _row(sheet: Sheet, line: Line) -> list[str]:
    row = [line.cells.get(column, "") for column in sheet.columns]
    if line.is_short:
        while len(row) > 1 and row[-1] == "":
            row.pop()
    return [*row, ""] if line.is_long else row


def _text(sheet: Sheet, rows: list[list[str]]) -> bytes:
    out = StringIO()
    delimiter = DELIMITERS.get(sheet.form, ",")
    csv.writer(out, delimiter=delimiter, lineterminator=sheet.newline).writerows(rows)
    text = out.getvalue() + sheet.newline * sheet.blank_lines
    return text.encode(sheet.encoding, errors="replace")


def _workbook(rows: list[list[str]]) -> bytes:
    book = Workbook()
    page = book.active
    for number, row in enumerate(rows, start=1):
        for place, text in enumerate(row, start=1):
            page.cell(number, place, _typed(text))
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _typed(text: str) -> Any:
    """A spreadsheet makes numbers of figures, but an EID written as text stays text."""
    if len(text) < 12 and text.replace(".", "", 1).isdigit() and not text.startswith("0"):
        return float(text) if "." in text else int(text)
    return text or None


def day_text(sheet: Sheet, day: date) -> str:
    """Write a day as this file does."""
    return day.strftime(sheet.date_form)
