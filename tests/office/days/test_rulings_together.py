"""Rulings for all alike, kept for the future, and taken back: listed first, undone together."""

import re

from django.urls import reverse

from herd.intake.models import Finding, Ruling, StandingRule
from tests.office.days.conftest import BY_SCRIPT, left, open_finding, page_of, rule, shown


def test_all_alike_are_listed_before_any_is_ruled(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    alike = day.findings.filter(is_open=True, kind="unknown_tag")
    page = rule(cal_in, day, finding, "new_animal", all_alike="1").content.decode()
    assert f"The same answer for {alike.count()} findings alike?" in page
    assert page.count("It is a new animal</b></li>") == alike.count()
    assert not Ruling.objects.exists()


def test_all_alike_are_ruled_once_confirmed(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    count = day.findings.filter(is_open=True, kind="unknown_tag").count()
    page = rule(cal_in, day, finding, "new_animal", all_alike="1").content.decode()
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    page = rule(cal_in, day, finding, "new_animal", all_alike="1", seen=seen).content.decode()
    assert f"{count} findings ruled." in page
    assert not day.findings.filter(is_open=True, kind="unknown_tag").exists()


def test_what_was_listed_and_is_no_longer_so_is_listed_again(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    page = rule(cal_in, day, finding, "new_animal", all_alike="1").content.decode()
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    other = day.findings.filter(is_open=True, kind="unknown_tag").exclude(pk=finding.pk).first()
    rule(cal_in, day, other, "set_aside")
    page = rule(cal_in, day, finding, "new_animal", all_alike="1", seen=seen).content.decode()
    assert "The same answer for" in page
    assert Ruling.objects.count() == 1


def test_after_one_ruling_the_same_is_offered_for_the_rest_alike(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    rest = day.findings.filter(is_open=True, kind="unknown_tag").count() - 1
    page = rule(cal_in, day, finding, "new_animal").content.decode()
    assert f"Same for the {rest} others alike" in page


def test_the_last_ruling_is_taken_back_with_all_given_together(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    before = left(day)
    page = rule(cal_in, day, finding, "new_animal", all_alike="1").content.decode()
    seen = re.search(r'name="seen" value="([^"]+)"', page)[1]
    rule(cal_in, day, finding, "new_animal", all_alike="1", seen=seen)
    page = cal_in.post(reverse("office:review-take-back", args=[day.pk])).content.decode()
    assert "Taken back:" in page
    assert left(day) == before
    assert not Ruling.objects.exists()


def test_taking_back_shows_the_finding_again(cal_in, day):
    finding = open_finding(day, "unknown_tag", "new_animal")
    rule(cal_in, day, finding, "new_animal")
    page = cal_in.post(reverse("office:review-take-back", args=[day.pk]), headers=BY_SCRIPT).content.decode()
    assert shown(page) == str(finding.pk)


def test_taking_back_without_a_ruling_is_told(cal_in, day):
    page = cal_in.post(reverse("office:review-take-back", args=[day.pk])).content.decode()
    assert "There is no ruling to take back." in page


def test_a_choice_can_stand_for_the_future(cal_in, cast, day):
    rule(cal_in, day, open_finding(day, "unknown_tag", "new_animal"), "set_aside", keep="1")
    kept = StandingRule.objects.get()
    assert (kept.outfit, kept.choice) == (cast.kettle_bench, "set_aside")


def test_an_answer_about_one_animal_can_not_stand_for_the_future(cal_in, day):
    finding = open_finding(day, "unknown_tag", "is:")
    choice = next(one["choice"] for one in finding.choices if one["choice"].startswith("is:"))
    page = rule(cal_in, day, finding, choice, keep="1").content.decode()
    assert "An answer about one animal can&#x27;t stand for the future." in page
    assert not Ruling.objects.exists()


def test_only_choices_without_an_animal_or_a_side_offer_to_stand_for_the_future(cal_in, day, stage):
    doubtful = open_finding(day, "doubtful_value")
    assert 'name="keep"' in page_of(cal_in, "review", day.pk, finding=str(doubtful.pk))
    Finding.objects.filter(pk=doubtful.pk).update(choices=[{"choice": "order:DMY", "label": "Day first", "effect": ""}])
    assert 'name="keep"' not in page_of(cal_in, "review", day.pk, finding=str(doubtful.pk))
