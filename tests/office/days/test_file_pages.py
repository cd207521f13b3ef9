"""A file's columns and lines: what each was taken for, changed by a person, and how every line ended."""

import pytest
from django.urls import reverse

from herd.intake.models import DayState, ProcessingDay, Recipe, StagedRow
from tests.office.days.conftest import file_named, page_of


def answers(file, **changed):
    """What the columns form sends when only some columns are changed."""
    said = {}
    for place, column in enumerate(file.columns):
        settings = column.get("settings") or {}
        said[f"c{place}-kind"] = column["kind"]
        said[f"c{place}-unit"] = settings.get("unit") or ""
        said[f"c{place}-order"] = settings.get("order") or ""
    return {**said, **changed}


def test_each_column_shows_its_first_cells_what_it_is_and_why(cal_in, day):
    page = page_of(cal_in, "file-columns", day.pk, file_named(day, "phone.csv").pk)
    assert '<span class="cell">505</span>' in page
    assert '<option value="weight" selected>' in page
    assert "The header says" in page


def test_a_cell_that_can_not_be_read_is_marked_with_its_reason(cal_in, day):
    page = page_of(cal_in, "file-columns", day.pk, file_named(day, "phone.csv").pk)
    assert '<td class="unread">heavy<span class="problem">' in page


def test_a_changed_column_is_read_anew_and_kept_for_the_next_file_of_the_shape(cal_in, day):
    file = file_named(day, "phone.csv")
    address = reverse("office:file-columns", args=[day.pk, file.pk])
    answer = cal_in.post(address, answers(file, **{"c1-kind": "unused"}), follow=True)
    assert answer.redirect_chain == [(address, 302)]
    assert all("weights" not in row.readings for row in StagedRow.objects.filter(file=file))
    assert Recipe.objects.get().columns[1]["kind"] == "unused"
    assert "a person said so" in answer.content.decode()


def test_a_changed_unit_is_kept_with_the_column(cal_in, day):
    file = file_named(day, "phone.csv")
    cal_in.post(reverse("office:file-columns", args=[day.pk, file.pk]), answers(file, **{"c1-unit": "kg"}))
    file.refresh_from_db()
    assert file.columns[1]["settings"]["unit"] == "kg"
    row = StagedRow.objects.filter(file=file).order_by("number").first()
    assert row.readings["weights"][0]["unit"] == "kg"


def test_a_kind_that_does_not_exist_is_refused(cal_in, day):
    file = file_named(day, "phone.csv")
    answer = cal_in.post(reverse("office:file-columns", args=[day.pk, file.pk]), answers(file, **{"c1-kind": "saddle"}))
    assert "Select a valid choice" in answer.content.decode()
    file.refresh_from_db()
    assert file.columns[1]["kind"] == "weight"


def test_a_reader_sees_the_columns_and_can_not_change_them(dot_in, day):
    file = file_named(day, "phone.csv")
    address = reverse("office:file-columns", args=[day.pk, file.pk])
    assert "<select" not in dot_in.get(address).content.decode()
    assert dot_in.post(address, answers(file)).status_code == 403


def test_columns_of_an_applied_day_are_shown_but_not_changed(cal_in, day):
    ProcessingDay.objects.filter(pk=day.pk).update(state=DayState.APPLIED)
    file = file_named(day, "phone.csv")
    address = reverse("office:file-columns", args=[day.pk, file.pk])
    assert "<select" not in cal_in.get(address).content.decode()
    answer = cal_in.post(address, answers(file, **{"c1-kind": "unused"}), follow=True)
    assert "is applied, so this can&#x27;t be done now" in answer.content.decode()
    file.refresh_from_db()
    assert file.columns[1]["kind"] == "weight"


def test_every_line_is_there_as_written_beside_what_was_read(dot_in, day):
    page = page_of(dot_in, "file-rows", day.pk, file_named(day, "phone.csv").pk)
    assert page.count('<tr id="line-') == 5
    assert '<span class="cell">bred 90</span>' in page
    assert "1180 lb" in page
    assert "pregnant, 90 days" in page


def test_a_line_links_to_its_animal(dot_in, day, bench):
    page = page_of(dot_in, "file-rows", day.pk, file_named(day, "reader.csv").pk)
    assert reverse("office:animal", args=[bench.cows[0]]) in page


def test_lines_can_be_filtered_by_how_they_ended(dot_in, day):
    file = file_named(day, "reader.csv")
    known = StagedRow.objects.filter(file=file, state="known").count()
    assert known > 0
    page = page_of(dot_in, "file-rows", day.pk, file.pk, state="known")
    assert page.count('<tr id="line-') == known


def test_a_long_file_is_paged_forwards_and_back(dot_in, stage):
    day = stage({"long.txt": "".join(f"{840270000010000 + number}\n" for number in range(230))})
    file = day.files.get()
    first = page_of(dot_in, "file-rows", day.pk, file.pk)
    second = page_of(dot_in, "file-rows", day.pk, file.pk, **{"from": "100"})
    last = page_of(dot_in, "file-rows", day.pk, file.pk, **{"from": "200"})
    assert [page.count('<tr id="line-') for page in (first, second, last)] == [100, 100, 30]
    assert "from=100" in first
    assert "from=0" in second
    assert "from=100" in last


@pytest.mark.parametrize("asked", [{"from": "x"}, {"from": "9" * 30}, {"state": "lame"}])
def test_strange_questions_show_a_page_all_the_same(dot_in, day, asked):
    page_of(dot_in, "file-rows", day.pk, file_named(day, "list.txt").pk, **asked)


def test_a_file_of_another_day_is_not_found(dot_in, day, clear_day):
    address = reverse("office:file-rows", args=[day.pk, clear_day.files.get().pk])
    assert dot_in.get(address).status_code == 404
