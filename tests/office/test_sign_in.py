"""Signing in and out, the throttle, the first run, the choice of an outfit."""

import pytest
from django.test import Client
from django.urls import reverse

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.office.throttle import MOST_FAILURES
from tests.cast import PASSWORD

FIRST = {
    "name": "Kettle Bench",
    "code": "",
    "time_zone": "America/Denver",
    "weight_unit": "kg",
    "username": "ada",
    "password": PASSWORD,
    "again": PASSWORD,
}


def sign_in(client, username="ada", password=PASSWORD, **more):
    return client.post(reverse("office:sign-in"), {"username": username, "password": password}, **more)


def test_the_right_password_leads_home(cast, client):
    answer = sign_in(client)
    assert (answer.status_code, answer.url) == (302, reverse("office:home"))


def test_the_wrong_password_is_said_in_words(cast, client):
    answer = sign_in(client, password="not it")
    assert answer.status_code == 200
    assert "don&#x27;t belong together" in answer.content.decode()


def test_after_eight_failures_even_the_right_password_has_to_wait(cast, client):
    for _ in range(MOST_FAILURES):
        sign_in(client, password="not it")
    answer = sign_in(client)
    assert answer.status_code == 429
    assert "Wait ten minutes" in answer.content.decode()
    assert "_auth_user_id" not in client.session


def test_other_spellings_of_the_name_share_the_wait(cast, client):
    for _ in range(MOST_FAILURES):
        sign_in(client, username=" ADA ", password="not it")
    assert sign_in(client).status_code == 429


def test_another_name_or_another_address_does_not_wait(cast, client):
    for _ in range(MOST_FAILURES):
        sign_in(client, password="not it")
    assert sign_in(Client(), username="ben").status_code == 302
    assert sign_in(Client(REMOTE_ADDR="203.0.113.9")).status_code == 302


def test_success_forgets_earlier_failures(cast, client):
    for _ in range(MOST_FAILURES - 1):
        sign_in(client, password="not it")
    assert sign_in(client).status_code == 302
    other = Client()
    sign_in(other, password="not it")
    assert sign_in(other).status_code == 302


def test_signing_out_takes_a_post(ada_in):
    assert ada_in.get(reverse("office:sign-out")).status_code == 405
    answer = ada_in.post(reverse("office:sign-out"))
    assert (answer.status_code, answer.url) == (302, reverse("office:sign-in"))
    assert ada_in.get(reverse("office:home")).status_code == 302


def test_sign_in_never_leads_to_another_site(cast, client):
    answer = sign_in(client)
    assert answer.url == reverse("office:home")
    other = Client()
    data = {"username": "ada", "password": PASSWORD, "next": "https://elsewhere.example/"}
    assert other.post(reverse("office:sign-in"), data).url == reverse("office:home")


@pytest.mark.django_db
def test_the_very_first_visitor_is_led_to_the_first_run(client):
    assert client.get(reverse("office:home")).status_code == 302
    answer = client.get(reverse("office:sign-in"))
    assert (answer.status_code, answer.url) == (302, reverse("office:first-run"))


@pytest.mark.django_db
def test_the_first_run_makes_the_outfit_and_its_owner_and_signs_in(client):
    assert client.get(reverse("office:first-run")).status_code == 200
    answer = client.post(reverse("office:first-run"), FIRST)
    assert (answer.status_code, answer.url) == (302, reverse("office:home"))
    outfit = Outfit.objects.get()
    assert (outfit.code, outfit.weight_unit) == ("kettle-bench", "kg")
    assert OutfitPerson.objects.get().role == Role.OWNER
    assert "Begin with your herd list" in client.get(reverse("office:home")).content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"again": "another long one"}, "The two passwords differ."),
        ({"password": "short", "again": "short"}, "too short"),
        ({"name": ""}, "This field is required."),
    ],
)
def test_the_first_run_makes_nothing_where_something_is_wrong(client, wrong, sentence):
    answer = client.post(reverse("office:first-run"), FIRST | wrong)
    assert answer.status_code == 200
    assert sentence in answer.content.decode()
    assert (Outfit.objects.count(), Person.objects.count()) == (0, 0)


def test_there_is_no_first_run_once_an_outfit_exists(cast, client):
    for answer in (client.get(reverse("office:first-run")), client.post(reverse("office:first-run"), FIRST)):
        assert (answer.status_code, answer.url) == (302, reverse("office:sign-in"))
    assert Outfit.objects.count() == 2


def test_someone_in_two_outfits_chooses_one_and_is_kept_there(cast, as_person):
    OutfitPerson.objects.create(outfit=cast.far_rim, person=cast.ada, role=Role.READER)
    client = as_person(cast.ada)
    assert client.get(reverse("office:home")).url == reverse("office:choose-outfit")
    client.post(reverse("office:choose-outfit"), {"outfit": cast.far_rim.pk})
    page = client.get(reverse("office:home"))
    assert "Far Rim" in page.content.decode()
    assert client.get(reverse("office:animal-new")).status_code == 403


def test_an_outfit_one_does_not_belong_to_can_not_be_chosen(cast, ada_in):
    ada_in.post(reverse("office:choose-outfit"), {"outfit": cast.far_rim.pk})
    page = ada_in.get(reverse("office:home")).content.decode()
    assert "Kettle Bench" in page
    assert "Far Rim" not in page


def test_someone_in_no_outfit_is_told_what_to_do(cast, as_person):
    client = as_person(Person.objects.create_user(username="fay", password=PASSWORD))
    assert client.get(reverse("office:home")).url == reverse("office:choose-outfit")
    assert "belong to no outfit" in client.get(reverse("office:choose-outfit")).content.decode()


def test_the_password_is_changed_and_said_so(cast, ada_in):
    new = "an even longer saddle"
    data = {"old_password": PASSWORD, "new_password1": new, "new_password2": new}
    answer = ada_in.post(reverse("office:password"), data, follow=True)
    assert "Your password is changed" in answer.content.decode()
    assert sign_in(Client(), password=new).status_code == 302
