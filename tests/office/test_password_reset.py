"""A forgotten password: by a code on the page, held up when guessed at, ending what was open under the old one."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from herd.accounts.models import OutfitChange, ResetCode
from herd.accounts.resetcodes import WRONG, make_code
from herd.office.throttle import MOST_FAILURES, MOST_FROM_ADDRESS
from tests.cast import PASSWORD

NEW = "a brand new halter"


@pytest.fixture
def code(cast):
    return make_code(person=cast.cal, by=cast.ada)


def reset(client, code, username="cal", again=NEW, **more):
    data = {"username": username, "code": code, "password": NEW, "again": again}
    return client.post(reverse("office:reset"), data, **more)


def sign_in(client, password, username="cal"):
    return client.post(reverse("office:sign-in"), {"username": username, "password": password})


def test_the_page_is_reached_from_the_sign_in(cast, client):
    assert reverse("office:reset") in client.get(reverse("office:sign-in")).content.decode()
    assert client.get(reverse("office:reset")).status_code == 200


def test_a_code_sets_the_password_and_leads_to_the_sign_in(cast, client, code):
    answer = reset(client, code)
    assert (answer.status_code, answer.url) == (302, reverse("office:sign-in"))
    assert "Your password is set" in client.get(answer.url).content.decode()
    assert sign_in(Client(), PASSWORD).status_code == 200
    assert sign_in(Client(), NEW).status_code == 302


def test_a_reset_ends_every_session_that_was_open(cast, client, as_person, code):
    phone, office = as_person(cast.cal), as_person(cast.cal)
    reset(client, code)
    for one in (phone, office):
        assert one.get(reverse("office:home")).url.startswith(reverse("office:sign-in"))


def test_changing_the_password_ends_every_other_session_and_is_noted(cast, as_person):
    here, lost_phone = as_person(cast.cal), as_person(cast.cal)
    data = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}
    here.post(reverse("office:password"), data)
    assert here.get(reverse("office:home")).status_code == 200
    assert lost_phone.get(reverse("office:home")).status_code == 302
    assert OutfitChange.objects.get().says == "cal changed their own password."


def test_changing_the_password_closes_a_code_that_was_still_open(cast, as_person, code):
    data = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}
    as_person(cast.cal).post(reverse("office:password"), data)
    assert not ResetCode.objects.exists()


def test_a_wrong_code_and_an_unknown_name_read_the_same(cast, client, code):
    tries = (("ABCD", "cal"), (code, "nobody"))
    said = {str(reset(client, given, name).context["form"].errors) for given, name in tries}
    assert len(said) == 1
    assert WRONG.split(",")[0].replace("'", "&#x27;") in said.pop()


def test_the_page_does_not_show_the_password_again(cast, client, code):
    assert NEW not in reset(client, "2222-2222-2222").content.decode()


def test_passwords_that_differ_use_up_nothing(cast, client, code):
    assert "The two passwords differ" in reset(client, code, again="another").content.decode()
    assert reset(client, code).status_code == 302


def test_guessing_is_held_up_by_name_and_address(cast, code):
    client = Client()
    for _ in range(MOST_FAILURES):
        assert reset(client, "2222-2222-2222").status_code == 200
    answer = reset(client, code)
    assert answer.status_code == 429
    assert "Wait ten minutes" in answer.content.decode()
    assert reset(Client(REMOTE_ADDR="203.0.113.9"), code).status_code == 302


def test_guessing_from_many_addresses_closes_the_code(cast, code):
    for number in range(12):
        reset(Client(REMOTE_ADDR=f"203.0.113.{number}"), "2222-2222-2222")
    assert reset(Client(REMOTE_ADDR="203.0.113.99"), code).status_code == 200
    cast.cal.refresh_from_db()
    assert cast.cal.check_password(PASSWORD)


def test_going_through_many_names_from_one_address_is_held_up(cast, code):
    client = Client()
    for number in range(MOST_FROM_ADDRESS):
        reset(client, "2222-2222-2222", f"name{number}")
    assert reset(client, code).status_code == 429


def test_going_through_many_names_at_the_sign_in_is_held_up(cast):
    client = Client()
    for number in range(MOST_FROM_ADDRESS):
        sign_in(client, "not it", f"name{number}")
    assert sign_in(client, PASSWORD).status_code == 429
    assert sign_in(Client(REMOTE_ADDR="203.0.113.9"), PASSWORD).status_code == 302


def test_wrong_codes_and_wrong_passwords_are_counted_apart(cast, code):
    client = Client()
    for _ in range(MOST_FAILURES):
        reset(client, "2222-2222-2222")
    assert sign_in(client, PASSWORD).status_code == 302


def test_a_reset_takes_away_the_wait_at_the_sign_in(cast, code):
    client = Client()
    for _ in range(MOST_FAILURES):
        sign_in(client, "not it")
    assert sign_in(client, PASSWORD).status_code == 429
    reset(client, code)
    assert sign_in(client, NEW).status_code == 302


def test_the_page_takes_no_form_from_another_site(cast, code):
    answer = reset(Client(enforce_csrf_checks=True), code)
    assert answer.status_code == 403


def test_the_session_cookie_is_hidden_from_scripts_and_other_sites(cast, client):
    sign_in(client, PASSWORD)
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    # At home there is no TLS; a production installation sets both, see tests of the settings.
    assert not cookie["secure"]
