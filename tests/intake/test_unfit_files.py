"""Broken and hostile files: one clear sentence each, nothing changed, and the other files of the day go on."""

import io
import json
import zipfile

import pytest
from django.conf import settings

from herd.accounts.models import Outfit
from herd.intake.days import GivenFile, open_day
from herd.intake.models import DayState, StagedRow
from herd.registry.queries.export import export_outfit
from herd.registry.services.refused import Refused
from tests.intake.field import WORKED_ON, csv_file, eid, herd, work


def zip_bomb() -> bytes:
    """A workbook by its name and parts, with a sheet that swells a thousandfold."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr("[Content_Types].xml", "<Types/>")
        parts.writestr("xl/workbook.xml", "<workbook/>")
        parts.writestr("xl/worksheets/sheet1.xml", b"0" * 500_000_000)
    return out.getvalue()


UNFIT = {
    "picture.csv": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40,
    "program.csv": b"\x7fELF" + bytes(range(256)) * 40,
    "paper.csv": b"%PDF-1.7\n" + b"stream \x00\x01\x02" * 500,
    "wide.csv": (",".join(f"c{number}" for number in range(10_000)) + "\n").encode() * 2,
    "nul.csv": b"\x00\x01\x02\x03EID,Weight\n" * 300,
    "large cell.csv": b"EID,Note\n840270000000101," + b"x" * 1_100_000 + b"\n",
    "empty.csv": b"",
    "blank.csv": b"\n\n\n",
    "letters.xlsx": b"PK\x03\x04 not a workbook",
}


@pytest.mark.parametrize("name", UNFIT)
def test_an_unfit_file_gets_one_sentence_and_changes_nothing(kettle_bench: Outfit, name: str) -> None:
    herd(kettle_bench, [101])
    before = json.dumps(list(export_outfit(kettle_bench)))
    good = csv_file("scale.csv", ["EID,Weight (lb)", f"{eid(1111)},1180"])
    day = work(kettle_bench, [GivenFile(name, UNFIT[name]), good])
    unfit = day.files.get(name=name)
    assert unfit.problem.endswith(".")
    assert len(unfit.problem) < 400
    assert not StagedRow.objects.filter(file=unfit).exists()
    assert (day.state, StagedRow.objects.filter(file__name="scale.csv").count()) == (DayState.REVIEW, 1)
    assert json.dumps(list(export_outfit(kettle_bench))) == before


def test_a_zip_bomb_is_refused_before_it_swells(kettle_bench: Outfit) -> None:
    day = work(kettle_bench, [GivenFile("bomb.xlsx", zip_bomb())])
    assert day.files.get().problem.endswith(".")
    assert not StagedRow.objects.exists()


def test_a_header_without_lines_is_no_fault(kettle_bench: Outfit) -> None:
    day = work(kettle_bench, [GivenFile("header.csv", b"EID,Weight (lb)\n")])
    file = day.files.get()
    assert (file.problem, file.row_count, day.state) == ("", 0, DayState.REVIEW)


def test_a_file_over_the_limit_is_refused_with_the_limit_named(
    kettle_bench: Outfit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(settings, "FIELD_FILE_MAX_BYTES", 1024 * 1024)
    with pytest.raises(Refused, match="larger than 1 MB"):
        open_day(
            outfit=kettle_bench, person=None, name="Work", worked_on=WORKED_ON, group=None,
            files=[GivenFile("large.csv", b"x" * (1024 * 1024 + 1))],
        )  # fmt: skip


def test_words_in_another_encoding_are_read(kettle_bench: Outfit) -> None:
    herd(kettle_bench, [101])
    text = f"EID;Größe;Notiz\n{eid(1111)};1;Kälbchen\n"
    day = work(kettle_bench, [GivenFile("latin.csv", text.encode("cp1252"))])
    row = StagedRow.objects.get(day=day)
    assert row.cells[2] == "Kälbchen"
