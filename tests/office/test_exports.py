"""Tables leave whole: numbers as text, nothing that a spreadsheet would run or change."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from django.http import Http404
from django.test import RequestFactory
from openpyxl import load_workbook

from herd.intake.reading import read_field_file
from herd.office.exports import asked_way, hand_out
from herd.office.tables import Table
from herd.values.sheetcells import guarded

EID = "840270000000123"
ROWS = [[EID, "007", Decimal("412.5"), date(2026, 3, 14)], ["=1+1", "@SUM(A1)", -3, None]]


def table() -> Table:
    return Table("Weaned calves", ["EID", "Visual tag", "Weight, lb", "Weighed"], ROWS)


@pytest.mark.parametrize(
    "text",
    # OWASP, "CSV Injection": the characters that begin a formula, full-width ones as well.
    ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "-cmd"],
)
def test_text_that_a_spreadsheet_would_run_stands_behind_an_apostrophe(text):
    assert guarded(text).startswith("'")


@pytest.mark.parametrize("text", [EID, "007", "12E5", "3-14", "3/14/26", "MAR 1", "1-mar", "dec"])
def test_text_that_a_spreadsheet_would_change_stands_behind_an_apostrophe(text):
    # Common practice, no source.
    assert guarded(text) == f"'{text}"


@pytest.mark.parametrize("text", ["112", "A-17", "blue", "1124 yellow", "two words", "4.5"])
def test_other_text_leaves_as_it_is(text):
    assert guarded(text) == text


def test_figures_leave_as_figures():
    assert guarded(-3) == "-3"
    assert guarded(Decimal("412.50")) == "412.50"


def test_csv_has_every_row_and_a_mark_for_spreadsheets():
    answer = hand_out(RequestFactory().get("/"), "csv", table())
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    assert list(csv.reader(io.StringIO(text))) == [
        ["EID", "Visual tag", "Weight, lb", "Weighed"],
        [f"'{EID}", "'007", "412.5", "2026-03-14"],
        ["'=1+1", "'@SUM(A1)", "-3", ""],
    ]
    assert answer["Content-Disposition"].startswith('attachment; filename="weaned-calves-')


def test_our_own_reader_takes_the_csv_back(tmp_path):
    file = tmp_path / "out.csv"
    file.write_bytes(b"".join(hand_out(RequestFactory().get("/"), "csv", table()).streaming_content))
    first = read_field_file(file).rows[0]
    assert [cell.lstrip("'") for cell in first] == [EID, "007", "412.5", "2026-03-14"]


def test_xlsx_keeps_numbers_of_tags_as_text_and_runs_nothing():
    answer = hand_out(RequestFactory().get("/"), "xlsx", table())
    sheet = load_workbook(io.BytesIO(answer.content)).active
    cells = list(sheet.iter_rows(min_row=2))
    assert [cell.value for cell in cells[0]][:3] == [EID, "007", 412.5]
    assert [cell.data_type for cell in cells[0]][:3] == ["s", "s", "n"]
    assert cells[1][0].value == "=1+1"
    assert cells[1][0].data_type != "f"


def test_another_way_out_is_not_found():
    with pytest.raises(Http404):
        asked_way(RequestFactory().get("/?as=doc"))
