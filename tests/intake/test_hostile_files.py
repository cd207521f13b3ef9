"""Files that are none, or built to do harm: one clear sentence, nothing in the record, the rest of the day goes on."""

import io
import zipfile
from collections.abc import Callable

import pytest
from openpyxl import Workbook

from herd.accounts.models import Outfit
from herd.intake.days import GivenFile
from herd.intake.models import FieldFile, ProcessingDay
from herd.registry.services.refused import Refused
from tests.intake.field import apply, check_counts, csv_file, eid, events, herd, kinds, record, states, weights, work

E417 = eid(417 * 11)
GOOD = csv_file("scale.csv", ["EID,Weight (lb)", f"{E417},1180"])

WORKBOOK_PARTS = {
    "[Content_Types].xml": (
        '<?xml version="1.0"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" '
        'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/></Types>'
    ),
    "_rels/.rels": (
        '<?xml version="1.0"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        '<Relationship Id="rId1" Target="xl/workbook.xml" '
        'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument"/></Relationships>'
    ),
}


def package(**parts: bytes) -> bytes:
    """A zip dressed as a workbook, with these parts of xl/."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in WORKBOOK_PARTS.items():
            archive.writestr(name, text)
        for name, content in parts.items():
            archive.writestr(f"xl/{name}.xml", content)
    return out.getvalue()


def entity_bomb() -> bytes:
    entities = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    text = f'<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a0 "moo">{entities}]><workbook>&a9;</workbook>'
    return package(workbook=text.encode())


def outside_entity() -> bytes:
    text = '<?xml version="1.0"?><!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/hostname">]><workbook>&x;</workbook>'
    return package(workbook=text.encode())


def zip_bomb() -> bytes:
    return package(workbook=b"<workbook/>", sharedStrings=b" " * 120_000_000)


NOT_TABLES: dict[str, Callable[[], bytes]] = {
    "binary": lambda: bytes(range(256)) * 40,
    "nothing but NUL": lambda: bytes(5_000),
    "ten thousand columns": lambda: (",".join(map(str, range(10_000))) + "\n").encode() * 3,
    "zip bomb": zip_bomb,
    "entity bomb": entity_bomb,
    "outside entity": outside_entity,
    "broken zip": lambda: package(workbook=b"<workbook/>")[:200],
    "pdf": lambda: b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n<</Type/Catalog>>\nendobj\n" + bytes(300),
    "picture": lambda: b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4,
    "nothing": lambda: b"",
    "blank lines": lambda: b"\n\n  \n",
    "a cell of two megabytes": lambda: b"EID,Note\n" + E417.encode() + b"," + b"x" * 2_000_000 + b"\n",
}


@pytest.mark.parametrize("name", NOT_TABLES)
def test_a_file_that_is_no_table_gets_one_sentence_and_the_rest_of_the_day_goes_on(
    kettle_bench: Outfit, name: str
) -> None:
    cows = herd(kettle_bench, [417, 530])
    before = record(kettle_bench)
    day = work(kettle_bench, [GivenFile("odd", NOT_TABLES[name]()), GOOD])
    problem = FieldFile.objects.get(day=day, name="odd").problem
    assert problem.endswith(".")
    assert "\n" not in problem
    assert not any(word in problem for word in ("Traceback", "Error(", "object at", "NoneType"))
    assert record(kettle_bench) == before
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert states(day) == ["applied"]
    check_counts(day)


@pytest.mark.parametrize("name", NOT_TABLES)
def test_a_day_of_such_a_file_alone_changes_nothing(kettle_bench: Outfit, name: str) -> None:
    herd(kettle_bench, [417, 530])
    before = record(kettle_bench)
    day = work(kettle_bench, [GivenFile("odd", NOT_TABLES[name]())])
    apply(day)
    assert record(kettle_bench) == before
    assert states(day) == kinds(day) == []


def test_a_header_without_lines_is_a_file_of_no_lines(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    before = record(kettle_bench)
    day = work(kettle_bench, [csv_file("head.csv", ["EID,Weight (lb)"])])
    apply(day)
    assert record(kettle_bench) == before
    assert states(day) == []


def test_formulas_of_a_workbook_are_not_reckoned(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    book = Workbook()
    book.active.append(["EID", "Weight (lb)", "Note"])
    book.active.append([E417, "=590+590", '=HYPERLINK("http://example.com/","here")'])
    book.active.append([eid(530 * 11), 1190, "quiet"])
    out = io.BytesIO()
    book.save(out)
    day = work(kettle_bench, [GivenFile("sums.xlsx", out.getvalue())])
    apply(day)
    assert weights(kettle_bench, cows[417]) == []
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]
    check_counts(day)


def test_formulas_in_a_text_file_are_text(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    text = ["EID,Weight (lb),Note", f"{E417},1180,=cmd|' /C calc'!A0", f"{eid(530 * 11)},=1+1,quiet"]
    day = work(kettle_bench, [csv_file("sums.csv", text)])
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert weights(kettle_bench, cows[530]) == []


def test_a_nul_byte_within_a_line_loses_no_other_line(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    content = f"EID,Weight (lb),Note\n{E417},1180,a\x00b\n{eid(530 * 11)},1190,quiet\n".encode()
    day = work(kettle_bench, [GivenFile("nul.csv", content)])
    apply(day)
    assert weights(kettle_bench, cows[530]) == ["1190 lb"]
    check_counts(day)


def test_a_long_cell_is_kept_and_its_line_is_not_lost(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    long_note = "x" * 400_000
    day = work(kettle_bench, [csv_file("notes.csv", ["EID,Weight (lb),Note", f"{E417},1180,{long_note}"])])
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    check_counts(day)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252", "latin-1"])
def test_letters_of_other_encodings_stop_no_line(kettle_bench: Outfit, encoding: str) -> None:
    cows = herd(kettle_bench, [417, 530])
    text = f"EID,Weight (lb),Note\n{E417},1180,señal café\n"
    day = work(kettle_bench, [GivenFile("notes.csv", text.encode(encoding))])
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    assert events(kettle_bench, cows[417], "note")[0]["data"]["note"] == "señal café"


def test_bytes_of_no_encoding_stop_no_line(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    content = f"EID,Weight (lb),Note\n{E417},1180,".encode() + b"\x81\x8d\xff\n"
    day = work(kettle_bench, [GivenFile("notes.csv", content)])
    apply(day)
    assert weights(kettle_bench, cows[417]) == ["1180 lb"]
    check_counts(day)


def test_quotes_that_never_end_give_no_animal_another_ones_values(kettle_bench: Outfit) -> None:
    cows = herd(kettle_bench, [417, 530])
    text = ["EID,Weight (lb),Note", f'{E417},1180,"said ""so', *[f'{eid(530 * 11)},1190,"""' for _ in range(50)]]
    day = work(kettle_bench, [csv_file("quotes.csv", text)])
    apply(day)
    check_counts(day)
    assert set(weights(kettle_bench, cows[417])) <= {"1180 lb"}
    assert set(weights(kettle_bench, cows[530])) <= {"1190 lb"}
    assert states(day) or FieldFile.objects.get(day=day).problem.endswith(".")


def test_a_file_larger_than_the_limit_is_refused_with_a_sentence(kettle_bench: Outfit, settings: object) -> None:
    herd(kettle_bench, [417])
    settings.FIELD_FILE_MAX_BYTES = 2 * 1024**2  # type: ignore[attr-defined]
    before = record(kettle_bench)
    with pytest.raises(Refused, match="big.csv is larger than 2 MB"):
        work(kettle_bench, [GOOD, GivenFile("big.csv", b"EID\n" * 600_000)])
    assert record(kettle_bench) == before
    assert not ProcessingDay.objects.exists()


def test_a_name_of_any_letters_and_length_is_kept(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [417, 530])
    name = "../../scale " + "é" * 300 + ".csv"
    day = work(kettle_bench, [GivenFile(name, GOOD.content)])
    apply(day)
    assert FieldFile.objects.get(day=day).name == name[:200]
    assert states(day) == ["applied"]
