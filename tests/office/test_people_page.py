"""People: owners see who is in the outfit, add, change and remove people, and make one-time codes."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from herd.accounts.models import OutfitChange, OutfitPerson, Person, ResetCode, Role
from herd.accounts.services import LAST_OWNER
from tests.cast import PASSWORD

CODE = re.compile(r"[2-9A-HJ-NP-TV-Z]{4}-[2-9A-HJ-NP-TV-Z]{4}-[2-9A-HJ-NP-TV-Z]{4}")
FAY = {"username": "fay", "given": "Fay", "family": "Ortiz", "role": "crew", "password": ""}


def place_of(person, outfit=None):
    rows = OutfitPerson.objects.filter(person=person)
    return rows.get(outfit=outfit) if outfit else rows.get()


def page(client, name, person, method="get", **data):
    return getattr(client, method)(reverse(f"office:{name}", args=[place_of(person).pk]), data)


def test_the_list_shows_everyone_with_role_and_last_sign_in(cast, ada_in):
    text = ada_in.get(reverse("office:people")).content.decode()
    for name in ("ada", "ben", "cal", "dot"):
        assert name in text
    assert "Role of eve" not in text
    assert "never" in text
    assert "Sees every page" in text


def test_the_list_stays_at_few_queries(cast, ada_in, django_assert_max_num_queries):
    for number in range(20):
        person = Person.objects.create(username=f"hand{number}")
        OutfitPerson.objects.create(outfit=cast.kettle_bench, person=person)
    with django_assert_max_num_queries(6):
        ada_in.get(reverse("office:people"))


def test_the_list_leaves_as_csv(cast, ada_in):
    text = b"".join(ada_in.get(reverse("office:people"), {"as": "csv"}).streaming_content).decode("utf-8-sig")
    assert text.splitlines()[0] == "User name,Name,Role,Last sign-in"
    assert "cal,cal,crew,never" in text


@pytest.mark.parametrize("username", ["ben", "cal", "dot"])
def test_only_an_owner_sees_and_changes_people(cast, as_person, username):
    client = as_person(getattr(cast, username))
    for name in ("people", "person-new"):
        assert client.get(reverse(f"office:{name}")).status_code == 403
    for name in ("person-role", "person-remove", "person-code"):
        assert page(client, name, cast.ada, "post", role="reader").status_code == 403
    assert place_of(cast.ada).role == Role.OWNER


def test_someone_new_gets_a_one_time_code_shown_this_once(cast, ada_in):
    answer = ada_in.post(reverse("office:person-new"), FAY)
    (code,) = CODE.findall(answer.content.decode())
    assert "no-store" in answer.headers["Cache-Control"]
    data = {"username": "fay", "code": code, "password": PASSWORD, "again": PASSWORD}
    assert Client().post(reverse("office:reset"), data).status_code == 302
    fay = Person.objects.get(username="fay")
    assert (str(fay), place_of(fay).role) == ("Fay Ortiz", Role.CREW)
    assert Client().post(reverse("office:sign-in"), {"username": "fay", "password": PASSWORD}).status_code == 302
    assert code not in ada_in.get(reverse("office:people")).content.decode()


def test_someone_new_may_get_a_first_password(cast, ada_in):
    answer = ada_in.post(reverse("office:person-new"), FAY | {"password": PASSWORD}, follow=True)
    assert "Fay Ortiz belongs to Kettle Bench as crew now" in answer.content.decode()
    assert Person.objects.get(username="fay").check_password(PASSWORD)
    assert not ResetCode.objects.exists()


def test_someone_of_another_outfit_joins_and_keeps_the_password(cast, ada_in):
    data = FAY | {"username": "eve", "password": "a stolen long rope"}
    answer = ada_in.post(reverse("office:person-new"), data, follow=True)
    assert "keeps the password used so far" in answer.content.decode()
    cast.eve.refresh_from_db()
    assert cast.eve.check_password(PASSWORD)
    assert place_of(cast.eve, cast.kettle_bench).role == Role.CREW
    assert place_of(cast.eve, cast.far_rim).role == Role.OWNER


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        ({"username": ""}, "username", "required"),
        ({"username": "cal"}, "username", "is in this outfit already"),
        ({"username": "two words"}, "username", "valid username"),
        ({"username": "CAL"}, "username", "mind capital letters"),
        ({"password": "short"}, "password", "too short"),
        ({"role": "king"}, "role", "valid choice"),
    ],
)
def test_nothing_is_made_where_something_is_wrong_and_it_is_said_beside_the_field(cast, ada_in, wrong, field, sentence):
    answer = ada_in.post(reverse("office:person-new"), FAY | wrong)
    assert answer.status_code == 200
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert (Person.objects.count(), OutfitPerson.objects.count(), ResetCode.objects.count()) == (5, 5, 0)


def test_adding_twice_by_a_double_click_adds_once(cast, ada_in):
    data = FAY | {"password": PASSWORD}
    ada_in.post(reverse("office:person-new"), data)
    answer = ada_in.post(reverse("office:person-new"), data)
    assert "is in this outfit already" in answer.content.decode()
    assert OutfitPerson.objects.filter(person__username="fay").count() == 1


def test_a_role_is_changed_at_once(cast, ada_in, as_person):
    cal_in = as_person(cast.cal)
    assert cal_in.get(reverse("office:animal-new")).status_code == 200
    page(ada_in, "person-role", cast.cal, "post", role="reader")
    assert cal_in.get(reverse("office:animal-new")).status_code == 403


def test_a_role_nobody_knows_changes_nothing(cast, ada_in):
    answer = ada_in.post(reverse("office:person-role", args=[place_of(cast.cal).pk]), {"role": "king"}, follow=True)
    assert "Pick one of the four roles" in answer.content.decode()
    assert place_of(cast.cal).role == Role.CREW


def test_the_last_owner_can_not_go(cast, ada_in):
    answer = ada_in.post(reverse("office:person-role", args=[place_of(cast.ada).pk]), {"role": "crew"}, follow=True)
    assert LAST_OWNER in answer.content.decode()
    answer = page(ada_in, "person-remove", cast.ada, "post")
    assert answer.status_code == 409
    assert LAST_OWNER in answer.content.decode()
    assert place_of(cast.ada).role == Role.OWNER


def test_one_who_is_taken_out_is_out_at_once_and_asked_about_first(cast, ada_in, as_person):
    cal_in = as_person(cast.cal)
    assert "will not see this outfit any more" in page(ada_in, "person-remove", cast.cal).content.decode()
    assert cal_in.get(reverse("office:home")).status_code == 200
    page(ada_in, "person-remove", cast.cal, "post")
    assert cal_in.get(reverse("office:home")).url == reverse("office:choose-outfit")


def test_an_owner_who_steps_down_is_led_home(cast, ada_in):
    OutfitPerson.objects.filter(person=cast.ben).update(role=Role.OWNER)
    answer = page(ada_in, "person-role", cast.ada, "post", role="reader")
    assert answer.url == reverse("office:home")


def test_an_owner_makes_a_code_after_being_asked(cast, ada_in):
    assert "Make the code" in page(ada_in, "person-code", cast.cal).content.decode()
    assert not ResetCode.objects.exists()
    answer = page(ada_in, "person-code", cast.cal, "post")
    assert CODE.search(answer.content.decode())


def test_an_owner_makes_no_code_for_one_who_works_elsewhere_too(cast, ada_in):
    OutfitPerson.objects.create(outfit=cast.kettle_bench, person=cast.eve, role=Role.READER)
    address = reverse("office:person-code", args=[place_of(cast.eve, cast.kettle_bench).pk])
    assert "manage.py password eve" in ada_in.get(address).content.decode()
    answer = ada_in.post(address, follow=True)
    assert "an outfit that you don&#x27;t own" in answer.content.decode()
    assert not ResetCode.objects.exists()


def test_the_owner_of_another_outfit_reaches_nobody_here(cast, as_person):
    eve_in = as_person(cast.eve)
    for name in ("person-role", "person-remove", "person-code"):
        assert page(eve_in, name, cast.cal, "post", role="reader").status_code == 404
    assert place_of(cast.cal).role == Role.CREW
    assert not ResetCode.objects.exists()


def test_changes_about_people_stand_in_the_activity_of_the_own_outfit(cast, ada_in, as_person):
    page(ada_in, "person-role", cast.cal, "post", role="office")
    text = as_person(cast.dot).get(reverse("office:activity")).content.decode()
    assert "cal is office now, and was crew before." in text
    assert "ada, " in text
    assert "cal is office" not in as_person(cast.eve).get(reverse("office:activity")).content.decode()
    assert OutfitChange.objects.get().outfit == cast.kettle_bench
