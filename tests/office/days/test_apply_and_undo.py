"""Applying and taking back a day from its pages, and the report that says what came of every line."""

import pytest
from django.urls import reverse

from herd.intake.models import DayState
from herd.registry.models import Event
from herd.registry.services import events
from herd.registry.services.batch import NewEvent
from tests.cast import entry
from tests.office.days.conftest import WORKED_ON, page_of


def weights() -> int:
    return Event.objects.filter(kind="weight", is_void=False).count()


def test_before_applying_the_page_says_exactly_what_is_written(ben_in, clear_day):
    page = page_of(ben_in, "day-apply", clear_day.pk)
    assert '<b class="number">6</b> weights' in page
    assert weights() == 0


def test_applying_writes_what_was_said(ben_in, clear_day):
    ben_in.post(reverse("office:day-apply", args=[clear_day.pk]))
    clear_day.refresh_from_db()
    assert (clear_day.state, weights()) == (DayState.APPLIED, 6)
    assert "Undo the day" in page_of(ben_in, "day", clear_day.pk)


def test_what_is_clear_can_be_applied_while_findings_wait(ben_in, day):
    waiting = day.findings.filter(is_open=True).count()
    assert f"Apply what is clear, leave {waiting} waiting" in page_of(ben_in, "day-apply", day.pk)
    ben_in.post(reverse("office:day-apply", args=[day.pk]))
    day.refresh_from_db()
    assert day.state == DayState.REVIEW
    assert day.findings.filter(is_open=True).count() == waiting
    assert f"Review {waiting} findings" in page_of(ben_in, "day", day.pk)


def test_a_day_that_is_applied_is_not_applied_again(ben_in, clear_day):
    address = reverse("office:day-apply", args=[clear_day.pk])
    ben_in.post(address)
    answer = ben_in.post(address, follow=True)
    assert "is applied, so this can&#x27;t be done now" in answer.content.decode()
    assert weights() == 6


def test_a_day_with_nothing_to_write_can_be_closed(ben_in, stage, bench):
    day = stage({"list.txt": "840270000004170\n840270000004171\n"})
    day.findings.all().delete()
    assert "There is nothing to write." in page_of(ben_in, "day-apply", day.pk)
    ben_in.post(reverse("office:day-apply", args=[day.pk]))
    day.refresh_from_db()
    assert day.state == DayState.APPLIED


def test_undo_is_judged_in_words_before_it_is_done(ben_in, clear_day):
    ben_in.post(reverse("office:day-apply", args=[clear_day.pk]))
    page = page_of(ben_in, "day-undo", clear_day.pk)
    assert "can be taken back" in page
    assert weights() == 6
    answer = ben_in.post(reverse("office:day-undo", args=[clear_day.pk]), follow=True)
    assert "was taken back" in answer.content.decode()
    clear_day.refresh_from_db()
    assert (clear_day.state, weights()) == (DayState.REVIEW, 0)


def test_undo_names_what_stands_in_the_way_and_then_does_nothing(ben_in, cast, clear_day, bench):
    ben_in.post(reverse("office:day-apply", args=[clear_day.pk]))
    event = Event.objects.filter(kind="weight", animal=bench.cows[0]).get()
    events.void(entry=entry(cast.kettle_bench, cast.ben, "wrong cow"), event_id=event.pk, reason="wrong cow")
    page = page_of(ben_in, "day-undo", clear_day.pk)
    assert "“wrong cow” has built on it" in page
    ben_in.post(reverse("office:day-undo", args=[clear_day.pk]))
    assert weights() == 5


def test_a_day_that_was_never_applied_has_nothing_to_undo(ben_in, day):
    assert "Nothing of this day is in the record." in page_of(ben_in, "day-undo", day.pk)


@pytest.mark.parametrize("name", ["day-apply", "day-undo"])
def test_crew_and_readers_neither_apply_nor_undo(cal_in, dot_in, clear_day, name):
    address = reverse(f"office:{name}", args=[clear_day.pk])
    for client in (cal_in, dot_in):
        assert client.get(address).status_code == 403
        assert client.post(address).status_code == 403
    assert weights() == 0


def test_the_report_says_what_came_in_waits_and_was_decided(cal_in, cast, day):
    finding = day.findings.filter(is_open=True, kind="unknown_tag").first()
    said = {"finding": finding.pk, "choice": "set_aside"}
    cal_in.post(reverse("office:review-rule", args=[day.pk]), said)
    page = page_of(cal_in, "day-report", day.pk)
    assert "4 files with 14 lines." in page
    assert "doubtful value" in page
    assert finding.title in page
    assert "cal" in page
    assert "Nothing is written to the record yet." in page


def test_the_report_names_animals_expected_and_not_seen(cal_in, day):
    page = page_of(cal_in, "day-report", day.pk)
    assert "422 yellow" in page.split('id="unseen"')[1].split("</section>")[0]


def test_the_report_names_unusable_lines_with_place_value_and_reason(cal_in, stage):
    day = stage({"scale.csv": "EID,Weight\n,1180\n840270000004170,1190\n"})
    unusable = page_of(cal_in, "day-report", day.pk).split('id="unusable"')[1].split("</section>")[0]
    row = day.rows.get(state="unusable")
    assert "scale.csv" in unusable
    assert f'class="num">{row.line}<' in unusable
    assert row.reason in unusable or row.problems[0]["reason"] in unusable


def test_the_report_of_an_applied_day_links_to_what_was_written(ben_in, clear_day):
    ben_in.post(reverse("office:day-apply", args=[clear_day.pk]))
    page = page_of(ben_in, "day-report", clear_day.pk)
    assert '<b class="number">6</b> weights' in page
    assert "/activity/" in page
    assert reverse("office:day-undo", args=[clear_day.pk]) in page


def test_later_weights_by_hand_do_not_stand_in_the_way_of_undo(ben_in, cast, clear_day, bench):
    ben_in.post(reverse("office:day-apply", args=[clear_day.pk]))
    note = NewEvent(bench.cows[0], "note", WORKED_ON, {"note": "lame"})
    events.record(entry=entry(cast.kettle_bench, cast.ben, "noted"), events=[note])
    ben_in.post(reverse("office:day-undo", args=[clear_day.pk]))
    assert weights() == 0
