"""Files beyond the limits, and workbooks built to do harm, are refused before a library opens them."""

import io
import zipfile

import pytest
from openpyxl import Workbook

from herd.intake.reading import FieldSource, Limits, UnreadableFile, open_field_file
from tests.intake.reading.fixture_workbooks import HEADER, VALUES, book_of, saved


def refusal_of(content: bytes, limits: Limits | None = None) -> str:
    with pytest.raises(UnreadableFile) as refusal:
        list(opened(content, limits).rows())
    return refusal.value.code


def opened(content: bytes, limits: Limits | None) -> FieldSource:
    return open_field_file(content, limits=limits) if limits else open_field_file(content)


def package(**parts: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name.replace("__", "/") + ".xml", content)
    return out.getvalue()


def test_text_beyond_the_limit_is_too_large():
    assert refusal_of(b"EID,VID\n" * 100, Limits(max_bytes=100)) == "too_large"


def test_workbook_beyond_the_limit_is_too_large():
    assert refusal_of(saved(book_of([HEADER, *VALUES])), Limits(max_workbook_bytes=100)) == "too_large"


def test_workbook_that_unpacks_to_too_much_is_too_large():
    content = package(xl__workbook=b"<workbook/>", xl__big=b" " * 3_000_000)
    assert refusal_of(content, Limits(max_unpacked_bytes=2_000_000)) == "too_large"


def test_workbook_packed_out_of_all_proportion_is_too_large():
    content = package(xl__workbook=b"<workbook/>", xl__big=b" " * 30_000_000)
    assert refusal_of(content) == "too_large"


def test_cells_too_far_apart_to_be_laid_out_end_no_process_of_ours():
    sheet = Workbook()
    sheet.active["A1"], sheet.active["XFD1048576"] = "EID", "x"
    assert refusal_of(saved(sheet)) == "too_large"


def test_too_many_columns_are_refused():
    row = ",".join(str(place) for place in range(1_200))
    assert refusal_of(f"{row}\n{row}\n".encode()) == "too_many_columns"


def test_one_far_row_of_too_many_columns_is_refused():
    lines = "".join(f"{place},{place}\n" for place in range(60_000))
    assert refusal_of(f"a,b\n{lines}{',' * 1_200}x\n{lines}".encode()) == "too_many_columns"


@pytest.mark.parametrize("quote", ["", '"'])
def test_too_long_a_cell_is_refused(quote):
    cell = quote + "x" * 1_000_001 + quote
    assert refusal_of(f"EID,Notes\n1,a\n2,{cell}\n3,b\n".encode()) == "cell_too_long"


def test_protected_workbook_is_refused():
    content = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512) + "EncryptedPackage".encode("utf-16-le") + bytes(64)
    assert refusal_of(content) == "password"


def test_workbook_with_a_broken_sheet_is_damaged():
    content = package(xl__workbook=b"<workbook><sheets>", sheet=b"<x")
    assert refusal_of(content) == "damaged"


@pytest.mark.parametrize("cut", [300, 1_000, 3_000])
def test_workbook_cut_off_is_damaged(cut):
    assert refusal_of(saved(book_of([HEADER, *VALUES]))[:cut]) == "damaged"


def test_few_zero_bytes_are_left_out_and_told():
    source = open_field_file(b"EID,VID,Weight\n" + b"840270000000001,K1,300\n" * 9 + b"840270000000002,K\x002,310\n")
    assert list(source.rows())[-1] == (11, ["840270000000002", "K2", "310"])
    assert [(warning.line, warning.code) for warning in source.warnings] == [(11, "nul_bytes")]
