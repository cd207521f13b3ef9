"""What files and lines hold is said in plain words."""

import pytest

from herd.office.daywords import dialect_in_words, readings_in_words
from herd.office.templatetags.days import columns_summary, numbers

WORKBOOK = {
    "format": "xlsx",
    "sheet": "Weights",
    "header_line": 3,
    "header_lines": [3],
    "first_data_line": 4,
    "preamble_lines": [1, 2],
    "footer_lines": [125],
    "passed_lines": [[60, "header repeated"], [80, "header repeated"]],
    "blank_lines": 2,
}


def test_a_workbook_is_told_with_its_sheet_and_every_line_passed_over():
    assert dialect_in_words(WORKBOOK) == [
        "Excel workbook (XLSX), sheet “Weights”",
        "header in line 3",
        "data from line 4",
        "lines 1, 2 above the table passed over",
        "line 125 below the table passed over",
        "lines 60, 80 passed over: header repeated",
        "2 empty lines",
    ]


def test_a_text_file_is_told_with_delimiter_and_encoding():
    dialect = {"format": "text", "delimiter": ";", "encoding": "utf-8", "byte_order_mark": True}
    assert dialect_in_words(dialect) == [
        "cells parted by semicolons",
        "letters as UTF-8 with a byte order mark",
        "no header",
    ]


def test_a_file_that_was_not_read_has_no_dialect_to_tell():
    assert dialect_in_words({}) == []


def test_many_lines_passed_over_are_counted():
    words = dialect_in_words({"preamble_lines": list(range(1, 11))})
    assert "lines 1, 2, 3, 4, 5, 6 and 4 more above the table passed over" in words


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ({"eid": "840270000000417"}, [("EID", "840270000000417")]),
        (
            {"weights": [{"entered": "512", "unit": "lb", "ng": 1, "purpose": "weaning"}]},
            [("weight", "512 lb at weaning")],
        ),
        (
            {"pregnancy": {"result": "pregnant", "days": 90, "note": ""}},
            [("pregnancy result", "pregnant, 90 days")],
        ),
        (
            {"animal_class": {"class": "heifer", "sex": "female", "calf": True}},
            [("class or sex", "heifer calf")],
        ),
        ({"dam": {"kind": "vid", "number": "101", "colour": "red"}}, [("dam's number", "101 red")]),
        ({"born": {"on": "2025-04-01", "precision": "year"}}, [("birth date", "on 2025")]),
        ({"day": "2026-10-01", "day_precision": "month"}, [("day", "2026-10")]),
        ({"castration": True, "weaning": False}, [("castrated", "yes")]),
        ({}, []),
    ],
)
def test_readings_are_told_with_label_and_value(readings, words):
    assert readings_in_words(readings) == words


def test_columns_that_are_not_used_are_left_out_of_the_summary():
    columns = [{"kind": "eid"}, {"kind": "unused"}, {"kind": "row_number"}, {"kind": "weight"}]
    assert columns_summary(columns) == "EID, weight"
    assert columns_summary([{"kind": "unused"}]) == "none of them used"


def test_an_eid_in_a_sentence_is_grouped_and_keeps_its_whole_number():
    said = numbers("EID 840270000000417 <b>")
    assert 'data-whole="840270000000417"' in said
    assert "&lt;b&gt;" in said


def test_longer_and_shorter_numbers_in_a_sentence_stay_as_they_are():
    assert numbers("8402700000004170 and 417") == "8402700000004170 and 417"
