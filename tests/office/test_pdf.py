"""A table as a PDF: whole numbers, numbered pages, wide tables on their side, long ones page after page."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import RequestFactory
from django.urls import reverse

from herd.office.exports import hand_out
from herd.office.pdf import Heading, pdf_of
from herd.office.tables import Table
from tests.office.pdftext import texts_of

EID = "840270000000123"
HEADING = Heading("Weaned calves", "What it is about.", "Kettle Bench, Nov 25, 2026, 10:00")
UPRIGHT, ON_ITS_SIDE = b"/MediaBox [ 0 0 612 792 ]", b"/MediaBox [ 0 0 792 612 ]"


def pdf(columns, rows):
    return pdf_of(HEADING, columns, iter(rows)).read()


def test_title_sentence_outfit_and_page_stand_on_it():
    drawn = texts_of(pdf(["EID", "Weight"], [(EID, Decimal("612.5"))]))
    assert drawn[:3] == ["Weaned calves", "What it is about.", "Kettle Bench, Nov 25, 2026, 10:00"]
    assert {"EID", "Weight", EID, "612.5", "page 1"} <= set(drawn)


def test_a_narrow_table_stands_upright_and_a_wide_one_lies():
    assert UPRIGHT in pdf(["EID", "Tag"], [(EID, "417")])
    assert ON_ITS_SIDE in pdf(["Words", "Tag"], [("many words " * 20, "417")])


@pytest.mark.parametrize("columns", [1, 7, 12])
def test_an_eid_is_never_broken(columns):
    drawn = texts_of(pdf([f"EID {one}" for one in range(columns)], [(EID,) * columns] * 3))
    assert drawn.count(EID) == 3 * columns


def test_an_eid_below_the_measured_rows_is_whole_as_well():
    rows = [("", "a long note " * 12)] * 400 + [(EID, "late")]
    assert EID in texts_of(pdf(["EID", "Note"], rows))


def test_a_long_table_goes_on_page_after_page_with_its_heads():
    drawn = texts_of(pdf(["Number", "EID"], ((str(one), EID) for one in range(1_000))))
    pages = [one for one in drawn if one.startswith("page ")]
    assert pages == [f"page {one}" for one in range(1, len(pages) + 1)]
    assert len(pages) > 10
    assert drawn.count("Number") == len(pages)
    assert drawn.count(EID) == 1_000


def test_the_rows_are_read_once_and_only_as_they_are_written():
    read = []

    def rows():
        for one in range(700):
            read.append(one)
            yield (str(one),)

    pdf(["Number"], rows())
    assert read == list(range(700))


def test_a_cell_longer_than_a_page_is_written_to_its_end():
    words = [f"word{one}" for one in range(3_000)]
    drawn = " ".join(texts_of(pdf(["Note", "Tag"], [(" ".join(words), "417")])))
    assert [one for one in words if one not in drawn.split()] == []


@pytest.mark.parametrize("name", ["Żubrówka", "Петрівна", "Αθηνά", "Peña", "Đặng", "Łódź – north", "½ “Rim”"])
def test_names_in_any_european_alphabet_are_written_whole(name):
    assert name in texts_of(pdf(["Name", "Tag"], [(name, "417")]))


def test_a_name_in_composed_and_in_loose_signs_is_the_same():
    assert "Peña" in texts_of(pdf(["Name"], [("Pen\u0303a",)]))


def test_signs_that_its_letters_lack_become_question_marks_and_nothing_breaks():
    assert "?? north" in texts_of(pdf(["Name"], [("\u725b\U0001f404\x07north",)]))


def test_the_letters_go_with_the_file():
    assert pdf(["Name"], [("Łódź",)]).count(b"/FontFile2") == 2


def test_an_empty_table_says_so():
    assert "Nothing to list." in texts_of(pdf(["EID"], []))


def test_it_leaves_as_a_file_with_days_in_words():
    table = Table("Weaned calves", ["Day", "Head"], [(date(2026, 3, 14), 4), (None, 5)])
    answer = hand_out(RequestFactory().get("/"), "pdf", table)
    assert answer["Content-Type"] == "application/pdf"
    assert "weaned-calves-" in answer["Content-Disposition"]
    assert "2026-03-14" in texts_of(b"".join(answer))


def test_every_list_offers_it(ada_in, herd):
    page = ada_in.get(reverse("office:herd")).content.decode()
    assert "as=pdf" in page
    drawn = texts_of(b"".join(ada_in.get(f"{reverse('office:herd')}?as=pdf")))
    assert any("Kettle Bench" in one for one in drawn)
    assert "840270000000417" in drawn
