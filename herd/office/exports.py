"""The door out: any table as CSV, as XLSX, as PDF, or as a page to print."""

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.text import slugify
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from herd.office.pdf import Heading, pdf_of
from herd.office.saying import say_moment
from herd.office.tables import Cell, Table
from herd.values.sheetcells import CONTROLS, guarded

MOST_SHEET_ROWS = 1_048_575
MARK = "\ufeff"
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def asked_way(request: HttpRequest) -> str:
    """How the request asks for the table: csv, xlsx, pdf or print, or empty for the page; Http404 for another."""
    way = request.GET.get("as", "")
    if way and way not in WAYS:
        raise Http404
    return way


def hand_out(request: HttpRequest, way: str, table: Table) -> HttpResponseBase:
    """Answer with the table in the way asked for."""
    return WAYS[way](request, table)


def _as_csv(request: HttpRequest, table: Table) -> StreamingHttpResponse:
    answer = StreamingHttpResponse(_csv_lines(table), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{_file_name(table, "csv")}"'
    return answer


def _csv_lines(table: Table) -> Iterator[str]:
    # The mark makes spreadsheets read it as UTF-8.
    yield MARK
    line = io.StringIO()
    writer = csv.writer(line)
    for number, row in enumerate(_all_rows(table), start=1):
        writer.writerow([guarded(cell) for cell in row])
        if number % 200 == 0:
            yield line.getvalue()
            line.seek(0)
            line.truncate()
    yield line.getvalue()


def _all_rows(table: Table) -> Iterator[Sequence[Cell]]:
    yield list(table.columns)
    yield from table.rows


def _as_xlsx(request: HttpRequest, table: Table) -> HttpResponse:
    book = Workbook(write_only=True)
    sheet = book.create_sheet(_sheet_name(table.title))
    sheet.freeze_panes = "A2"
    for number, row in enumerate(_all_rows(table)):
        if number > MOST_SHEET_ROWS:
            sheet = book.create_sheet()
        sheet.append([_sheet_cell(sheet, cell) for cell in row])
    into = io.BytesIO()
    book.save(into)
    answer = HttpResponse(into.getvalue(), content_type=SHEET_TYPE)
    answer["Content-Disposition"] = f'attachment; filename="{_file_name(table, "xlsx")}"'
    return answer


def _sheet_cell(sheet: object, value: Cell) -> WriteOnlyCell:
    if isinstance(value, datetime) and value.tzinfo:
        value = value.replace(tzinfo=None)
    if not isinstance(value, str):
        return WriteOnlyCell(sheet, value)
    # Typed as text, so that neither a formula runs nor a number of 15 digits is rounded.
    cell = WriteOnlyCell(sheet, CONTROLS.sub(" ", value))
    cell.data_type = "s"
    cell.number_format = "@"
    return cell


def _as_pdf(request: HttpRequest, table: Table) -> FileResponse:
    outfit = getattr(request, "outfit", None)
    made = say_moment(timezone.now(), outfit.zone if outfit else timezone.get_default_timezone())
    heading = Heading(table.title, table.about, f"{outfit}, {made}" if outfit else made)
    file = pdf_of(heading, table.columns, _printed(table))
    return FileResponse(file, as_attachment=True, filename=_file_name(table, "pdf"), content_type="application/pdf")


def _as_page(request: HttpRequest, table: Table) -> HttpResponse:
    context = {"table": table, "made_at": timezone.now(), "rows": _printed(table)}
    return render(request, "office/print/table.html", context)


def _printed(table: Table) -> Iterator[list[Cell]]:
    for row in table.rows:
        yield [_spoken(cell) for cell in row]


def _spoken(cell: Cell) -> Cell:
    """A day as the pages say it; the rest as it is."""
    if isinstance(cell, datetime):
        return f"{cell:%Y-%m-%d %H:%M}"
    return f"{cell:%Y-%m-%d}" if isinstance(cell, date) else cell


def _file_name(table: Table, ending: str) -> str:
    return f"{slugify(table.title) or 'list'}-{timezone.now():%Y-%m-%d}.{ending}"


def _sheet_name(title: str) -> str:
    return re.sub(r"[\[\]:*?/\\']", " ", title)[:31].strip() or "List"


WAYS: Mapping[str, Callable[[HttpRequest, Table], HttpResponseBase]] = {
    "csv": _as_csv,
    "xlsx": _as_xlsx,
    "pdf": _as_pdf,
    "print": _as_page,
}

