"""What a visitor without a session may bring along or become, and what the installation keeps to itself."""

import logging
import re
import subprocess

import pytest
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.accounts.services import AccountError, add_person, check_password_for
from herd.office.throttle import MOST_FAILURES
from tests.cast import PASSWORD
from tests.config.installation import ROOT

LARGE = 5 * 1024 * 1024
SIGN_IN = reverse("office:sign-in")
# Words that stand before a value in code; an example or a name in a test is not one.
SECRETS = re.compile(rb"-----BEGIN [A-Z ]*PRIVATE KEY|\bAKIA[0-9A-Z]{16}\b|\bghp_[0-9A-Za-z]{36}\b")


class Unread:
    """A body that must not be read."""

    def read(self, size=-1):
        raise AssertionError("the body was read")

    readline = read


def send(browser, address, size):
    """Post so many bytes of a form, of which none are there to be read."""
    return browser.generic(
        "POST", address,
        **{"CONTENT_TYPE": "multipart/form-data; boundary=x", "CONTENT_LENGTH": str(size), "wsgi.input": Unread()},
    )  # fmt: skip


def test_a_stranger_can_not_make_the_server_take_in_a_large_form(cast):
    answer = send(Client(), SIGN_IN, LARGE)
    assert (answer.status_code, answer.content) == (
        413,
        b"That is more than is taken here: 4 MiB at most without signing in.\n",
    )
    with pytest.raises(AssertionError, match="the body was read"):
        send(Client(), SIGN_IN, 100)


def test_nobody_can_send_more_than_a_day_of_files(cast, settings):
    settings.REQUEST_MAX_BYTES = LARGE
    browser = Client()
    browser.force_login(cast.ada)
    assert send(browser, reverse("office:day-new"), LARGE + 1).status_code == 413
    assert send(browser, "/api/v1/days/", LARGE + 1).status_code == 413


@pytest.mark.django_db
def test_the_first_outfit_is_made_at_the_machine_itself_and_from_nowhere_else():
    page = reverse("office:first-run")
    answer = Client(REMOTE_ADDR="203.0.113.9").get(page)
    assert answer.status_code == 403
    assert "made at the machine that runs Notchbook" in answer.content.decode()
    assert Client(REMOTE_ADDR="203.0.113.9").post(page, {"username": "eve"}).status_code == 403
    assert not Outfit.objects.exists()
    for here in ("127.0.0.1", "::1"):
        assert Client(REMOTE_ADDR=here).get(page).status_code == 200


def test_an_ipv6_visitor_is_counted_by_network_since_addresses_cost_nothing(cast):
    def tried(address, password):
        data = {"username": "ada", "password": password}
        return Client(REMOTE_ADDR=address).post(SIGN_IN, data).status_code

    for number in range(MOST_FAILURES):
        tried(f"2001:db8:0:1::{number:x}", "not it")
    assert tried("2001:db8:0:1:ffff::1", PASSWORD) == 429
    assert tried("2001:db8:0:2::1", PASSWORD) == 302


@pytest.mark.django_db
def test_one_who_guesses_device_codes_is_not_taken_for_many_by_saying_so():
    cache.clear()

    def tried(number):
        headers = {"X-Forwarded-For": f"203.0.113.{number}"}
        answer = Client().post("/api/v1/enrol/", {"code": "AAAAA-AAAAA"}, "application/json", headers=headers)
        return answer.status_code

    assert 429 not in {tried(number) for number in range(20)}
    assert tried(20) == 429


@pytest.mark.parametrize(
    "password", ["kettle-bench", "KettleBench2026!", "notchbook2026", "cattle ranch 12", "iloveyou123", "0123456789"]
)
def test_a_password_that_anyone_would_try_is_refused(cast, password):
    with pytest.raises(AccountError):
        check_password_for(cast.ada, password)
    with pytest.raises(AccountError):
        add_person(outfit=cast.kettle_bench, username="fay", role=Role.CREW, password=password)
    assert not Person.objects.filter(username="fay").exists()


@pytest.mark.parametrize("password", [PASSWORD, "x7#9Kq2!8z", "hürden über den zaun", "long cow long walk", "y" * 70])
def test_a_password_of_any_signs_and_length_is_taken(cast, password):
    check_password_for(cast.ada, password)


def test_the_log_says_who_came_from_where_and_neither_password_nor_address_of_the_page(cast, caplog):
    browser = Client(REMOTE_ADDR="203.0.113.9")
    with caplog.at_level(logging.INFO, "notchbook.requests"):
        browser.post(SIGN_IN, {"username": "ada", "password": "not it"})
        browser.post(SIGN_IN, {"username": "ada", "password": PASSWORD})
        browser.get(reverse("office:find"), {"q": "a secret word"})
    seen = [(line.route, line.status, line.who, line.address) for line in caplog.records]
    who = f"person:{cast.ada.pk}"
    assert seen == [
        ("sign-in/", 200, "", "203.0.113.9"),
        ("sign-in/", 302, who, "203.0.113.9"),
        ("find/", 200, who, "203.0.113.9"),
    ]
    told = " ".join(str(vars(line)) for line in caplog.records)
    assert PASSWORD not in told
    assert "a secret word" not in told


def test_an_owner_can_not_reach_the_password_of_someone_who_works_elsewhere_too(cast):
    OutfitPerson.objects.create(outfit=cast.kettle_bench, person=cast.eve, role=Role.READER)
    browser = Client()
    browser.force_login(cast.ada)
    place = OutfitPerson.objects.get(outfit=cast.kettle_bench, person=cast.eve)
    browser.post(reverse("office:person-code", args=[place.pk]))
    assert not hasattr(Person.objects.get(pk=cast.eve.pk), "reset_code")


def test_there_is_no_demo_with_its_known_password_in_production(settings):
    settings.PRODUCTION, settings.VAR_DIR = True, settings.VAR_DIR / "demo"
    with pytest.raises(CommandError, match="none in production"):
        call_command("demo")


def test_no_secret_lies_in_the_repository():
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout.split(b"\0")
    paths = [ROOT / name.decode() for name in listed if name]
    assert len(paths) > 500
    there = [path for path in paths if path.is_file() and path.stat().st_size < 1_000_000]
    assert [path.name for path in there if SECRETS.search(path.read_bytes())] == []
