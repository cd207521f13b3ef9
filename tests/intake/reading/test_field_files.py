"""Every folder of field files reads as its expectation says."""

import json
from pathlib import Path

import pytest

from herd.intake.reading import FieldTable, UnreadableFile, open_field_file, read_field_file

FOLDER = Path(__file__).resolve().parents[3] / "fixtures" / "field_files"
CASES = sorted(path.parent for path in FOLDER.glob("*/expected.json"))


def lines_accounted_for(table: FieldTable) -> int:
    dialect = table.dialect
    kinds = (dialect.header_lines, dialect.preamble_lines, dialect.footer_lines, dialect.passed_lines)
    counted = dialect.blank_lines + dialect.continued_lines
    return len(set(table.row_lines)) + sum(map(len, kinds)) + counted


def test_there_are_at_least_sixty_field_files():
    assert len(CASES) >= 60


@pytest.mark.parametrize("folder", CASES, ids=lambda folder: folder.name)
def test_field_file_reads_as_expected(folder):
    expected = json.loads((folder / "expected.json").read_text("utf-8"))
    file = next(folder.glob("input.*"))
    if "unreadable" in expected:
        with pytest.raises(UnreadableFile) as refusal:
            read_field_file(file)
        assert refusal.value.code == expected["unreadable"]
        assert refusal.value.reason.endswith(".")
        return
    table = read_field_file(file)
    assert table.header == expected["header"]
    assert len(table.rows) == expected.get("row_count", len(table.rows))
    for sample_row in expected.get("sample", []):
        assert sample_row in table.rows
    if "rows" in expected:
        assert table.rows == expected["rows"]
    if "row_lines" in expected:
        assert table.row_lines == expected["row_lines"]
    found = table.dialect.as_dict()
    wanted = expected.get("dialect", {})
    assert {key: found[key] for key in wanted} == wanted
    assert {warning.code for warning in table.warnings} >= set(expected.get("warnings", []))


@pytest.mark.parametrize("folder", CASES, ids=lambda folder: folder.name)
def test_every_line_of_a_field_file_is_accounted_for(folder):
    expected = json.loads((folder / "expected.json").read_text("utf-8"))
    file = next(folder.glob("input.*"))
    if "unreadable" in expected:
        with pytest.raises(UnreadableFile):
            open_field_file(file)
        return
    table = read_field_file(file)
    assert lines_accounted_for(table) == table.dialect.total_lines
    json.dumps(table.dialect.as_dict())
