"""Invented workbooks with traps, written by general libraries, and what reading them must give."""

import io
import zipfile
from datetime import date, datetime, time

import openpyxl
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from tests.intake.reading.fixture_texts import Case, case, refused

HEADER = ["EID", "VID", "Weight", "Date"]
TEXT_ROWS = [
    ["840270000000041", "K41", "412", "2024-03-01"],
    ["840270000000042", "0042", "398.5", "2024-03-01"],
    ["840270000000043", "K43", "", "2024-03-02"],
]
VALUES = [
    [840270000000041, "K41", 412, date(2024, 3, 1)],
    ["840270000000042", "0042", 398.5, date(2024, 3, 1)],
    [840270000000043, "K43", None, date(2024, 3, 2)],
]


def saved(book: openpyxl.Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def book_of(rows: list[list[object]]) -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    return book


def xlsx_cases() -> list[Case]:
    """XLSX: formats, sheets, merged and hidden rows, formulas and errors."""
    plain = book_of([HEADER, *VALUES])
    titled = book_of([["Spring working"], [], HEADER, *VALUES, [], ["Total", None, 810.5]])
    hidden = book_of([HEADER, *VALUES])
    hidden.active.row_dimensions[3].hidden = True
    sheets = openpyxl.Workbook()
    sheets.active["A1"] = "Read me first"
    data = sheets.create_sheet("Weights")
    for row in [HEADER, *VALUES]:
        data.append(row)
    secret = sheets.create_sheet("Old")
    secret.sheet_state = "hidden"
    for row in [HEADER, *VALUES, *VALUES]:
        secret.append(row)
    merged = book_of([["Animal", None, "Weighing", None], HEADER, *VALUES])
    merged.active.merge_cells("A1:B1")
    merged.active.merge_cells("C1:D1")
    odd = book_of(
        [
            ["EID", "Calm", "Gain", "Seen", "At"],
            [840270000000041, True, "=1+1", datetime.fromisoformat("2024-03-01T10:05:00"), time(6, 30)],
            [8402700000000427, False, 0.00001, datetime.fromisoformat("2024-03-02T11:00:00"), time(7, 0)],
        ]
    )
    odd.active["C4"] = "#N/A"
    odd.active["C4"].data_type = "e"
    odd.active["A4"] = "840270000000043"
    shifted = openpyxl.Workbook()
    for line, row in enumerate([HEADER, *VALUES], 4):
        for place, value in enumerate(row, 3):
            shifted.active.cell(line, place, value)
    rows = TEXT_ROWS
    both = ["Animal EID", "Animal VID", "Weighing Weight", "Weighing Date"]
    return [
        case(
            "xlsx-plain",
            saved(plain),
            HEADER,
            rows,
            ext="xlsx",
            row_lines=[2, 3, 4],
            dialect={"format": "xlsx"},
        ),
        case(
            "xlsx-titled",
            saved(titled),
            HEADER,
            rows,
            ext="xlsx",
            row_lines=[4, 5, 6],
            dialect={"preamble_lines": [1], "footer_lines": [8]},
        ),
        case("xlsx-hidden-row", saved(hidden), HEADER, rows, ext="xlsx", warnings=["hidden_row"]),
        case(
            "xlsx-sheets",
            saved(sheets),
            HEADER,
            rows,
            ext="xlsx",
            warnings=["other_sheets"],
            dialect={"sheet": "Weights"},
        ),
        case("xlsx-merged-header", saved(merged), both, rows, ext="xlsx", dialect={"header_lines": [1, 2]}),
        case("xlsx-shifted", saved(shifted), HEADER, rows, ext="xlsx", row_lines=[5, 6, 7]),
        case(
            "xlsx-odd-values",
            saved(odd),
            ["EID", "Calm", "Gain", "Seen", "At"],
            [
                ["840270000000041", "TRUE", "", "2024-03-01T10:05:00", "06:30:00"],
                ["8402700000000427", "FALSE", "0.00001", "2024-03-02T11:00:00", "07:00:00"],
                ["840270000000043", "", "#N/A", "", ""],
            ],
            ext="xlsx",
            warnings=["no_value", "digits_lost"],
        ),
        case("xlsx-no-header", saved(book_of(VALUES)), [], rows, ext="xlsx", row_lines=[1, 2, 3]),
        refused("xlsx-empty", "xlsx", saved(openpyxl.Workbook()), "empty"),
        refused("xlsx-entities", "xlsx", with_entities(saved(plain)), "damaged"),
    ]


def with_entities(content: bytes) -> bytes:
    """The same package with a document type that declares an entity in its sheet."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename.endswith("sheet1.xml"):
                data = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>' + data
            new.writestr(part.filename, data)
    return out.getvalue()


def xls_content() -> bytes:
    book = xlwt.Workbook()
    sheet = book.add_sheet("Weights")
    dated = xlwt.easyxf(num_format_str="YYYY-MM-DD")
    for line, row in enumerate([HEADER, *VALUES]):
        for place, value in enumerate(row):
            if isinstance(value, date):
                sheet.write(line, place, value, dated)
            elif value is not None:
                sheet.write(line, place, value)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def ods_content() -> bytes:
    document = OpenDocumentSpreadsheet()
    table = Table(name="Weights")
    for row in [HEADER, *VALUES]:
        line = TableRow()
        for value in row:
            line.addElement(ods_cell(value))
        table.addElement(line)
    document.spreadsheet.addElement(table)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def ods_cell(value: object) -> TableCell:
    if value is None:
        return TableCell()
    if isinstance(value, date):
        return TableCell(valuetype="date", datevalue=value.isoformat())
    if isinstance(value, int | float):
        return TableCell(valuetype="float", value=str(value))
    cell = TableCell(valuetype="string")
    cell.addElement(P(text=str(value)))
    return cell


def workbook_cases() -> list[Case]:
    """All workbook cases."""
    return [
        *xlsx_cases(),
        case(
            "xls-plain",
            xls_content(),
            HEADER,
            TEXT_ROWS,
            ext="xls",
            row_lines=[2, 3, 4],
            dialect={"format": "xls", "sheet": "Weights"},
        ),
        case(
            "ods-plain",
            ods_content(),
            HEADER,
            TEXT_ROWS,
            ext="ods",
            row_lines=[2, 3, 4],
            dialect={"format": "ods"},
        ),
    ]
