"""The page of a day: its state, its files with counts that add up, what to do next, and its files' bytes."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from herd.intake.models import DayState, FieldFile, ProcessingDay
from herd.intake.pipeline import apply_day
from tests.office.days.conftest import LIST, PHONE, READER, file_named, page_of


def counts_of(page: str, name: str) -> list[int]:
    """The figures in the table's line of a file."""
    line = re.search(rf">{re.escape(name)}</a></th>(.*?)</tr>", page, re.S)[1]
    return [int(figure) for figure in re.findall(r'class="num[^"]*">(\d+)', line)]


def test_the_list_of_days_says_how_to_begin_when_there_is_none(cal_in):
    page = page_of(cal_in, "days")
    assert "No processing day yet" in page
    assert reverse("office:day-new") + "?herd_list=1" in page


def test_the_list_of_days_shows_state_lines_and_open_findings(cal_in, day):
    page = page_of(cal_in, "days")
    line = re.search(r"<tr>\s*<td.*?</tr>", page, re.S)[0]
    assert "in review" in line
    assert ">14<" in line.replace("\n", "")
    assert f">{day.findings.filter(is_open=True).count()}<span" in line


def test_the_list_of_days_is_paged(cal_in, cast):
    for number in range(51):
        ProcessingDay.objects.create(outfit=cast.kettle_bench, name=f"day {number}", worked_on="2026-01-01")
    assert "?from=50" in page_of(cal_in, "days")
    assert "day 0</a>" in page_of(cal_in, "days", **{"from": "50"})


@pytest.mark.parametrize("start", ["-1", "x", "99999999999999999999", "١"])
def test_a_strange_place_in_the_list_shows_a_page_all_the_same(cal_in, day, start):
    page_of(cal_in, "days", **{"from": start})


def test_the_counts_of_each_file_add_up_to_its_lines(cal_in, day):
    page = page_of(cal_in, "day", day.pk)
    for file in day.files.all():
        lines, *ends = counts_of(page, file.name)
        assert lines == file.row_count
        assert sum(ends) == lines


def test_each_file_says_how_it_was_written_and_what_its_columns_are(cal_in, day):
    page = page_of(cal_in, "day", day.pk)
    assert "cells parted by semicolons" in page
    assert "one number a line" in page
    assert "3 columns: VID, weight, pregnancy result" in page
    assert "% sure" in page


def test_a_file_that_can_not_be_read_shows_its_sentence(cal_in, day):
    assert "This is a picture, not a table of text or a workbook." in page_of(cal_in, "day", day.pk)


def test_the_page_offers_the_review_and_names_the_number_of_findings(cal_in, day):
    count = day.findings.filter(is_open=True).count()
    assert f"Review {count} findings" in page_of(cal_in, "day", day.pk)


def test_the_office_may_apply_what_is_clear_and_is_told_what_is_written(ben_in, clear_day):
    page = page_of(ben_in, "day", clear_day.pk)
    assert reverse("office:day-apply", args=[clear_day.pk]) in page
    assert '<b class="number">6</b> weights' in page


def test_crew_is_told_who_applies(cal_in, clear_day):
    page = page_of(cal_in, "day", clear_day.pk)
    assert "The office or the owner applies the day." in page
    assert reverse("office:day-apply", args=[clear_day.pk]) not in page


def test_a_reader_sees_the_day_and_no_form_of_it(dot_in, day):
    page = page_of(dot_in, "day", day.pk)
    assert "Add more files" not in page
    assert "Take it out" not in page


def test_work_under_way_is_shown_and_asked_for_every_second(cal_in, day):
    ProcessingDay.objects.filter(pk=day.pk).update(state=DayState.WORKING, step="reading")
    page = page_of(cal_in, "day", day.pk)
    assert "<progress" in page
    assert 'hx-trigger="every 1s"' in page
    assert 'aria-live="polite"' in page
    assert '<meta http-equiv="refresh"' in page
    assert "Reading the files" in page_of(cal_in, "day-progress", day.pk)


def test_the_page_is_fetched_anew_when_the_work_is_over(cal_in, day):
    answer = cal_in.get(reverse("office:day-progress", args=[day.pk]))
    assert (answer.status_code, answer.headers["HX-Refresh"]) == (204, "true")


def test_stopped_work_says_why_and_can_go_on(cal_in, day):
    ProcessingDay.objects.filter(pk=day.pk).update(state=DayState.FAILED, problem="The disk is full.")
    assert "The disk is full." in page_of(cal_in, "day", day.pk)
    cal_in.post(reverse("office:day-again", args=[day.pk]))
    day.refresh_from_db()
    assert day.state == DayState.REVIEW


def test_going_on_with_a_day_that_did_not_stop_changes_nothing(cal_in, day):
    ProcessingDay.objects.filter(pk=day.pk).update(state=DayState.APPLIED)
    cal_in.post(reverse("office:day-again", args=[day.pk]))
    day.refresh_from_db()
    assert day.state == DayState.APPLIED


def test_a_file_can_be_added_later(cal_in, clear_day):
    more = SimpleUploadedFile("phone.csv", PHONE.encode())
    cal_in.post(reverse("office:day-files-add", args=[clear_day.pk]), {"uploads": [more]})
    assert file_named(clear_day, "phone.csv").row_count == 5


def test_a_file_that_is_in_the_day_already_is_refused_with_a_sentence(cal_in, day):
    again = SimpleUploadedFile("once more.csv", READER.encode())
    answer = cal_in.post(reverse("office:day-files-add", args=[day.pk]), {"uploads": [again]})
    assert "once more.csv is in this day already." in answer.content.decode()
    assert day.files.count() == 4


def test_adding_nothing_is_told(cal_in, day):
    answer = cal_in.post(reverse("office:day-files-add", args=[day.pk]), {})
    assert "Choose at least one file" in answer.content.decode()


def test_a_file_is_taken_out_only_after_it_was_asked(cal_in, day):
    file = file_named(day, "list.txt")
    address = reverse("office:file-remove", args=[day.pk, file.pk])
    assert "Take this file out?" in cal_in.get(address).content.decode()
    assert FieldFile.objects.filter(pk=file.pk).exists()
    cal_in.post(address)
    assert not FieldFile.objects.filter(pk=file.pk).exists()


def test_a_file_whose_lines_are_in_the_record_stays(ben_in, cast, day):
    apply_day(day, cast.ben)
    file = file_named(day, "phone.csv")
    answer = ben_in.post(reverse("office:file-remove", args=[day.pk, file.pk]), follow=True)
    assert "has been applied; undo the day first" in answer.content.decode()
    assert FieldFile.objects.filter(pk=file.pk).exists()


def test_the_name_day_and_group_can_be_changed(cal_in, day, bench):
    said = {"name": "Fall work", "worked_on": "2026-11-20", "group": ""}
    cal_in.post(reverse("office:day-change", args=[day.pk]), said)
    day.refresh_from_db()
    assert (day.name, str(day.worked_on), day.group) == ("Fall work", "2026-11-20", None)


def test_a_change_without_a_date_is_told_and_not_made(cal_in, day):
    answer = cal_in.post(reverse("office:day-change", args=[day.pk]), {"name": "Fall work"}, follow=True)
    assert "Day: This field is required." in answer.content.decode()
    day.refresh_from_db()
    assert day.name == "Preg check"


def test_a_file_comes_back_byte_for_byte_and_is_never_shown_in_the_browser(dot_in, day):
    file = file_named(day, "list.txt")
    answer = dot_in.get(reverse("office:file-download", args=[day.pk, file.pk]))
    assert answer.content == LIST.encode()
    assert answer.headers["Content-Disposition"] == 'attachment; filename="list.txt"'
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Content-Type"] == "application/octet-stream"


def test_a_file_name_with_quotes_and_line_ends_makes_no_header_of_its_own(dot_in, day):
    FieldFile.objects.filter(day=day, name="list.txt").update(name='a"b\r\nSet-Cookie: x=1.txt')
    file = FieldFile.objects.get(day=day, name__startswith='a"b')
    answer = dot_in.get(reverse("office:file-download", args=[day.pk, file.pk]))
    assert "Set-Cookie" not in answer.headers
    assert answer.content == LIST.encode()


def test_markup_in_a_file_is_shown_as_text(cal_in, stage):
    day = stage({"<b>x</b>.csv": "VID,Note\n417,<script>alert(1)</script>\n"})
    for page in (
        page_of(cal_in, "day", day.pk),
        page_of(cal_in, "file-rows", day.pk, day.files.get().pk),
        page_of(cal_in, "file-columns", day.pk, day.files.get().pk),
        page_of(cal_in, "day-report", day.pk),
        page_of(cal_in, "review", day.pk),
    ):
        assert "<script>alert" not in page
        assert "<b>x</b>" not in page
