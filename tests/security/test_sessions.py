"""Sessions end: left alone, grown old, signed out, or with another password set elsewhere."""

import time

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from herd.accounts.models import Person
from herd.config import sessions
from tests.cast import PASSWORD

HOUR = 3_600
HOME = reverse("office:home")


@pytest.fixture
def hours(monkeypatch, settings):
    """A clock that the test sets, in hours, with the bounds of an installation."""
    settings.SESSION_IDLE_SECONDS = 12 * HOUR
    began, now = time.time(), [0.0]
    monkeypatch.setattr(sessions.time, "time", lambda: began + now[0] * HOUR)

    def go_to(hour):
        now[0] = hour

    return go_to


@pytest.fixture
def browser(cast):
    made = Client()
    assert made.login(username="ada", password=PASSWORD)
    return made


def is_in(browser):
    return browser.get(HOME).status_code == 200


def test_a_session_left_alone_for_a_working_day_ends(browser, hours):
    assert is_in(browser)
    hours(11.9)
    assert is_in(browser)
    hours(23.8)
    assert is_in(browser)
    hours(35.9)
    assert not is_in(browser)
    hours(24)
    assert not is_in(browser), "it came back to life with the clock"


def test_a_session_that_is_never_left_alone_ends_after_a_week(browser, hours):
    for hour in range(0, 169, 8):
        hours(hour)
        assert is_in(browser)
    hours(169)
    assert not is_in(browser)


def test_a_clock_set_back_a_year_shuts_nobody_out_and_the_mark_follows_it(browser, hours):
    assert is_in(browser)
    hours(-24 * 365)
    assert is_in(browser)
    hours(-24 * 365 + 13)
    assert not is_in(browser)


def test_a_request_soon_after_another_writes_nothing(browser, hours, django_assert_num_queries):
    assert is_in(browser)
    browser.get("/health/")
    with django_assert_num_queries(3):
        browser.get("/health/")


def test_signing_in_changes_the_session_and_signing_out_ends_it(cast):
    browser = Client()
    page = reverse("office:sign-in")
    browser.get(page)
    browser.post(page, {"username": "ada", "password": PASSWORD})
    first = browser.cookies[settings.SESSION_COOKIE_NAME].value
    browser.post(page, {"username": "ada", "password": PASSWORD})
    thief = Client()
    thief.cookies[settings.SESSION_COOKIE_NAME] = first
    assert is_in(thief)
    browser.post(reverse("office:sign-out"))
    assert not is_in(thief)


def test_someone_who_may_not_sign_in_any_more_is_out_at_once(cast, browser):
    assert is_in(browser)
    Person.objects.filter(pk=cast.ada.pk).update(is_active=False)
    assert not is_in(browser)


def test_no_page_is_kept_by_the_browser_once_its_person_has_left(browser):
    assert browser.get(HOME).headers["Cache-Control"] == "no-store"
    assert browser.get("/api/v1/animals/").headers["Cache-Control"] == "no-store"
