"""The review: one finding at a time, ruled by plain forms or by script, alone or with all alike, and taken back."""

import re
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from herd.intake.models import DayState, Finding, ProcessingDay, Ruling
from herd.intake.review import rule as give_ruling
from herd.ledger.models import Changeset
from tests.office.days.conftest import left, open_finding, page_of, rule, shown


def neighbour(page: str, way: str) -> dict[str, str]:
    """What the link to the finding before or after asks for."""
    kind, other = re.search(rf'\?kind=(\w+)&amp;{way}=([^"]+)"', page).groups()
    return {"kind": kind, way: other}


def test_the_queue_counts_findings_by_kind_and_shows_one(cal_in, day):
    page = page_of(cal_in, "review", day.pk)
    unknown = day.findings.filter(is_open=True, kind="unknown_tag").count()
    assert re.search(rf'<span>unknown tag</span> <span class="number">{unknown}</span>', page)
    assert page.count('id="finding-title"') == 1


def test_a_finding_shows_sides_cells_reasons_and_numbered_choices(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    page = page_of(cal_in, "review", day.pk, finding=str(finding.pk))
    assert "reader.csv, line" in page
    assert "<dt>Time</dt>" in page
    for choice in finding.choices:
        assert f'value="{choice["choice"]}"' in page
    assert '<span class="choice-number" aria-hidden="true">1</span>' in page


def test_the_animal_is_shown_as_recorded(cal_in, day):
    finding = open_finding(day, "doubtful_value")
    page = page_of(cal_in, "review", day.pk, finding=str(finding.pk))
    assert "In the record:" in page
    assert "cow, 6 years" in page
    assert "<dt>Group</dt><dd>Upper Bench</dd>" in page


def test_showing_a_finding_takes_at_most_twelve_queries(cal_in, day, django_assert_max_num_queries):
    for finding in Finding.objects.filter(day=day, is_open=True):
        place = {"kind": finding.kind}
        for asked in ({"finding": finding.pk}, {**place, "after": finding.pk}, {**place, "before": finding.pk}):
            with django_assert_max_num_queries(12):
                page_of(cal_in, "review", day.pk, **asked)


def test_a_ruling_by_plain_form_shows_the_next_finding(cal_in, cast, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    before = left(day)
    page = rule(cal_in, day, finding, "new_animal").content.decode()
    assert "<html" in page
    assert shown(page) != str(finding.pk)
    assert left(day) == before - 1
    assert f">{before - 1}</b> left" in page
    assert Ruling.objects.get(day=day).person == cast.cal


def test_a_ruling_by_script_brings_only_the_part_that_changes_in_one_answer(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    answer = rule(cal_in, day, finding, "new_animal", script=True)
    page = answer.content.decode()
    assert "<html" not in page
    assert page.count('id="review"') == 1
    assert 'data-said="Ruled: It is a new animal.' in page
    assert answer.headers["HX-Push-Url"].endswith(f"?finding={shown(page)}")


def test_nothing_is_written_to_the_record_by_a_ruling(cal_in, day):
    written = Changeset.objects.count()
    rule(cal_in, day, open_finding(day, "unknown_tag", "new_animal"), "new_animal")
    assert Changeset.objects.count() == written


def test_next_and_before_walk_through_all_findings_and_come_around(cal_in, day):
    ids, pages = [], [page_of(cal_in, "review", day.pk)]
    for _ in range(left(day)):
        ids.append(shown(pages[-1]))
        pages.append(page_of(cal_in, "review", day.pk, **neighbour(pages[-1], "after")))
    assert len(set(ids)) == left(day)
    assert shown(pages[-1]) == ids[0]
    for place in range(left(day)):
        before = page_of(cal_in, "review", day.pk, **neighbour(pages[place], "before"))
        assert shown(before) == ids[place - 1]


def test_a_kind_of_the_queue_shows_its_first_finding(cal_in, day):
    finding = open_finding(day, "doubtful_value")
    assert shown(page_of(cal_in, "review", day.pk, kind="doubtful_value")) == str(finding.pk)


@pytest.mark.parametrize(
    "asked", [{"finding": "x"}, {"finding": str(uuid4())}, {"kind": "saddle"}, {"kind": "date_order", "after": "x"}]
)
def test_an_address_that_leads_nowhere_shows_the_first_finding(cal_in, day, asked):
    assert shown(page_of(cal_in, "review", day.pk, **asked)) == shown(page_of(cal_in, "review", day.pk))


def test_a_typed_value_is_kept_with_the_ruling(cal_in, day):
    finding = open_finding(day, "doubtful_value", "type")
    rule(cal_in, day, finding, "type", typed="1180")
    assert Ruling.objects.get().typed == "1180"


def test_enter_in_the_field_means_the_typed_value_and_no_other_choice(cal_in, day):
    finding = open_finding(day, "doubtful_value", "type")
    page = page_of(cal_in, "review", day.pk, finding=str(finding.pk))
    assert re.search(r'<form class="answers".*?<button', page, re.S)[0].endswith("<button")
    first = re.search(r'<form class="answers".*?(<button[^>]*>)', page, re.S)[1]
    assert 'name="choice" value=""' in first
    rule(cal_in, day, finding, "", typed="1180")
    assert Ruling.objects.get().choice == "type"


def test_a_typed_value_that_can_not_be_read_is_refused_and_stays_in_the_field(cal_in, day):
    finding = open_finding(day, "doubtful_value", "type")
    page = rule(cal_in, day, finding, "type", typed="heavy").content.decode()
    assert "is not a weight" in page
    assert 'value="heavy"' in page
    assert shown(page) == str(finding.pk)
    assert not Ruling.objects.exists()


def test_a_typed_value_counts_for_one_finding_alone(cal_in, day):
    finding = open_finding(day, "doubtful_value", "type")
    page = rule(cal_in, day, finding, "type", typed="1180", all_alike="1").content.decode()
    assert "A typed value counts for this finding alone" in page
    assert not Ruling.objects.exists()


@pytest.mark.parametrize("choice", ["", "saddle", "is:9f3bf016-8aa5-4242-8434-2b1a872f68a2"])
def test_a_choice_the_finding_does_not_have_rules_nothing(cal_in, day, choice):
    page = rule(cal_in, day, open_finding(day, "unknown_tag"), choice).content.decode()
    assert "Choose one of the answers." in page
    assert not Ruling.objects.exists()


def test_a_finding_that_was_ruled_meanwhile_is_told_and_the_next_shown(cal_in, ben_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    rule(ben_in, day, finding, "new_animal")
    page = rule(cal_in, day, finding, "set_aside").content.decode()
    assert "That finding is decided already." in page
    assert Ruling.objects.get().choice == "new_animal"


def test_the_end_of_the_queue_offers_to_apply(ben_in, cal_in, clear_day):
    assert "Nothing is left to decide" in page_of(ben_in, "review", clear_day.pk)
    assert reverse("office:day-apply", args=[clear_day.pk]) in page_of(ben_in, "review", clear_day.pk)
    assert "The office or the owner applies the day." in page_of(cal_in, "review", clear_day.pk)


def test_a_day_being_worked_on_is_not_reviewed(cal_in, day):
    ProcessingDay.objects.filter(pk=day.pk).update(state=DayState.WORKING)
    answer = cal_in.get(reverse("office:review", args=[day.pk]))
    assert answer.headers["Location"] == reverse("office:day", args=[day.pk])
    finding = open_finding(day, "unknown_tag", "new_animal")
    rule(cal_in, day, finding, "new_animal")
    assert not Ruling.objects.exists()


def test_a_reader_sees_the_findings_and_rules_none(dot_in, day):
    page = page_of(dot_in, "review", day.pk)
    assert 'class="choice' not in page
    assert rule(dot_in, day, open_finding(day, "unknown_tag"), "set_aside").status_code == 403
    assert dot_in.post(reverse("office:review-take-back", args=[day.pk])).status_code == 403


def test_a_ruling_without_the_page_s_token_is_refused(cast, day):
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.cal)
    assert rule(client, day, open_finding(day, "unknown_tag"), "set_aside").status_code == 403
    assert not Ruling.objects.exists()


def test_a_finding_of_another_day_is_not_ruled_through_this_one(cal_in, day, clear_day):
    rule(cal_in, clear_day, open_finding(day, "unknown_tag", "set_aside"), "set_aside")
    assert not Ruling.objects.exists()


def test_a_ruling_by_page_takes_at_most_thirteen_queries_beside_those_of_the_ruling(cal_in, cast, day):
    first = open_finding(day, "unknown_tag", "new_animal")
    with CaptureQueriesContext(connection) as bare:
        give_ruling(day=day, finding=first, choice="new_animal", person=cast.cal)
    second = open_finding(day, "unknown_tag", "new_animal")
    with CaptureQueriesContext(connection) as by_page:
        rule(cal_in, day, second, "new_animal", script=True)
    assert Ruling.objects.count() == 2
    assert len(by_page) - len(bare) <= 13


def test_two_files_that_disagree_stand_side_by_side_in_the_words_of_the_files(cal_in, stage):
    day = stage({"scale.csv": "VID,Weight\n417,1180\n", "phone.csv": "VID,Weight\n417,1240\n"})
    finding = open_finding(day, "files_disagree")
    page = page_of(cal_in, "review", day.pk, finding=str(finding.pk))
    assert "<h3>weight 1180 lb</h3>" in page
    assert "<h3>weight 1240 lb</h3>" in page
    for side in finding.sides:
        assert f">{side['value']}<" not in page


def test_the_address_of_a_ruling_leads_back_to_the_review(cal_in, day):
    for name in ("review-rule", "review-take-back"):
        answer = cal_in.get(reverse(f"office:{name}", args=[day.pk]))
        assert answer.headers["Location"] == reverse("office:review", args=[day.pk])
