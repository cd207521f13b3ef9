"""A new processing day: files dropped or typed become a day that is read; what can't be taken is named."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from herd.intake.models import DayState, ProcessingDay
from herd.registry.models import Animal
from tests.office.days.conftest import LIST, PHONE, PICTURE, READER, page_of


def upload(name: str, content: str | bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content if isinstance(content, bytes) else content.encode())


def send(client, *files, **fields):
    said = {"worked_on": "2026-11-21", "uploads": list(files), **fields}
    return client.post(reverse("office:day-new"), said, follow=True)


def messages_of(answer) -> str:
    return " ".join(str(message) for message in answer.context["messages"])


def test_the_form_works_without_a_script(cal_in):
    page = page_of(cal_in, "day-new")
    assert 'enctype="multipart/form-data"' in page
    assert 'type="file" name="uploads"' in page
    assert "multiple" in page
    assert 'name="csrfmiddlewaretoken"' in page


def test_the_day_suggested_is_today_at_the_outfit(cal_in):
    today = datetime.now(ZoneInfo("America/Denver")).date()
    assert f'value="{today.isoformat()}"' in page_of(cal_in, "day-new")


def test_the_herd_list_tick_can_be_set_by_the_address(cal_in):
    assert "checked" in page_of(cal_in, "day-new", herd_list="1")
    assert "checked" not in page_of(cal_in, "day-new")


def test_files_become_a_day_in_review(cal_in, cast, bench):
    answer = send(cal_in, upload("reader.csv", READER), upload("phone.csv", PHONE), group=bench.group.pk)
    day = ProcessingDay.objects.get()
    assert answer.redirect_chain == [(reverse("office:day", args=[day.pk]), 302)]
    assert (day.outfit, day.made_by, day.group, day.state) == (
        cast.kettle_bench,
        cast.cal,
        bench.group,
        DayState.REVIEW,
    )
    assert [file.name for file in day.files.all()] == ["reader.csv", "phone.csv"]
    assert bytes(day.files.first().content) == READER.encode()


def test_a_day_without_a_name_is_called_after_group_and_date(cal_in, bench):
    send(cal_in, upload("list.txt", LIST), group=bench.group.pk)
    assert ProcessingDay.objects.get().name == "Upper Bench 2026-11-21"


def test_a_given_name_is_kept(cal_in, bench):
    send(cal_in, upload("list.txt", LIST), name="Fall work")
    assert ProcessingDay.objects.get().name == "Fall work"


def test_numbers_typed_into_the_box_become_a_field_file(cal_in, bench):
    send(cal_in, typed="840270000004170\r\n840270000004171\r\n")
    file = ProcessingDay.objects.get().files.get()
    assert (file.name, file.row_count) == ("typed list.txt", 2)


def test_a_day_without_files_and_numbers_is_not_opened(cal_in):
    page = send(cal_in).content.decode()
    assert "Choose at least one file, or type or paste some numbers." in page
    assert not ProcessingDay.objects.exists()


def test_a_day_without_a_date_is_not_opened(cal_in):
    page = send(cal_in, upload("list.txt", LIST), worked_on="").content.decode()
    assert "This field is required." in page
    assert not ProcessingDay.objects.exists()


def test_a_file_above_the_limit_is_named_and_the_others_are_taken(cal_in, bench, settings):
    settings.FIELD_FILE_MAX_BYTES = 1024**2
    answer = send(cal_in, upload("huge.csv", bytes(1024**2 + 1)), upload("list.txt", LIST))
    assert "“huge.csv” is larger than 1 MB and was not taken." in messages_of(answer)
    assert [file.name for file in ProcessingDay.objects.get().files.all()] == ["list.txt"]


def test_a_file_above_the_limit_alone_opens_no_day(cal_in, settings):
    settings.FIELD_FILE_MAX_BYTES = 1024**2
    page = send(cal_in, upload("huge.csv", bytes(1024**2 + 1))).content.decode()
    assert "“huge.csv” is larger than 1 MB and was not taken." in page
    assert not ProcessingDay.objects.exists()


def test_the_same_bytes_under_two_names_are_taken_once_and_said(cal_in, bench):
    answer = send(cal_in, upload("a.txt", LIST), upload("b.txt", LIST))
    assert "“b.txt” holds the same bytes as “a.txt” and was taken once." in messages_of(answer)
    assert ProcessingDay.objects.get().files.count() == 1


def test_files_that_are_no_tables_are_kept_with_a_sentence(cal_in, bench):
    page = send(cal_in, upload("photo.csv", PICTURE), upload("empty.csv", b"")).content.decode()
    assert "This is a picture, not a table of text or a workbook." in page
    assert "The file is empty." in page
    assert ProcessingDay.objects.get().files.count() == 2


def test_a_very_long_file_name_is_cut_and_keeps_its_ending(cal_in, bench):
    send(cal_in, upload("x" * 230 + ".txt", LIST))
    name = ProcessingDay.objects.get().files.get().name
    assert len(name) <= 200
    assert name.endswith("x.txt")


def test_a_herd_list_brings_animals_in_without_findings(cal_in, cast):
    herd_list = "Tag,EID,Class\n101,840270000005001,cow\n102,840270000005002,cow\n"
    page = send(cal_in, upload("herd.csv", herd_list), is_herd_list="on").content.decode()
    day = ProcessingDay.objects.get()
    assert not day.findings.filter(is_open=True).exists()
    assert "new animals" in page
    assert not Animal.objects.of(cast.kettle_bench).exists()


def test_a_group_of_another_outfit_can_not_be_chosen(cal_in, cast):
    foreign = cast.far_rim
    group = type(cast.far_rim)._meta.apps.get_model("registry", "Group").objects.create(outfit=foreign, name="Rim")
    page = send(cal_in, upload("list.txt", LIST), group=group.pk).content.decode()
    assert "Select a valid choice" in page
    assert not ProcessingDay.objects.exists()


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_reader_may_not_open_days(dot_in, method):
    assert getattr(dot_in, method)(reverse("office:day-new")).status_code == 403
