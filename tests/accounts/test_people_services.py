"""Roles change, people leave, an owner always stays, and each such change is noted in its outfit."""

import pytest

from herd.accounts.models import OutfitChange, OutfitPerson, Person, Role
from herd.accounts.services import (
    LAST_OWNER,
    AccountError,
    add_person,
    add_person_without_password,
    change_role,
    remove_person,
)
from tests.cast import PASSWORD


def place_of(outfit, person):
    return OutfitPerson.objects.get(outfit=outfit, person=person)


def said(outfit):
    return list(OutfitChange.objects.filter(outfit=outfit).order_by("id").values_list("says", "person_name"))


def test_joining_changing_and_leaving_are_noted_with_who_did_it(cast):
    bench = cast.kettle_bench
    fay = add_person(outfit=bench, username="fay", role=Role.CREW, password=PASSWORD, by=cast.ada)
    change_role(place=place_of(bench, fay), role=Role.OFFICE, by=cast.ada)
    remove_person(place=place_of(bench, fay), by=cast.ada)
    assert said(bench) == [
        ("fay joined the outfit as crew.", "ada"),
        ("fay is office now, and was crew before.", "ada"),
        ("fay was taken out of the outfit.", "ada"),
    ]
    assert Person.objects.filter(username="fay").exists()
    assert said(cast.far_rim) == []


def test_the_same_role_again_changes_and_notes_nothing(cast):
    change_role(place=place_of(cast.kettle_bench, cast.ben), role=Role.OFFICE, by=cast.ada)
    assert said(cast.kettle_bench) == []


def test_the_last_owner_stays_owner(cast):
    place = place_of(cast.kettle_bench, cast.ada)
    for write in (
        lambda: change_role(place=place, role=Role.OFFICE, by=cast.ada),
        lambda: remove_person(place=place, by=cast.ada),
        lambda: add_person(outfit=cast.kettle_bench, username="ada", role=Role.READER, by=cast.ben),
    ):
        with pytest.raises(AccountError, match=LAST_OWNER):
            write()
    place.refresh_from_db()
    assert place.role == Role.OWNER
    assert said(cast.kettle_bench) == []


def test_one_of_two_owners_may_go(cast):
    change_role(place=place_of(cast.kettle_bench, cast.ben), role=Role.OWNER, by=cast.ada)
    remove_person(place=place_of(cast.kettle_bench, cast.ada), by=cast.ada)
    assert not OutfitPerson.objects.filter(person=cast.ada).exists()


def test_an_owner_of_another_outfit_does_not_count_as_one_here(cast):
    OutfitPerson.objects.create(outfit=cast.far_rim, person=cast.ada, role=Role.OWNER)
    remove_person(place=place_of(cast.far_rim, cast.ada), by=cast.eve)
    with pytest.raises(AccountError):
        remove_person(place=place_of(cast.kettle_bench, cast.ada), by=cast.ada)


def test_someone_without_a_password_can_not_sign_in(cast, client):
    fay = add_person_without_password(
        outfit=cast.kettle_bench, username="fay", role=Role.CREW, full_name=("", ""), by=cast.ada
    )
    assert not fay.has_usable_password()
    assert not client.login(username="fay", password="")


@pytest.mark.parametrize("name", ["ADA", "Ada "])
def test_a_name_that_differs_only_by_capitals_is_refused(cast, name):
    with pytest.raises(AccountError, match="mind capital letters"):
        add_person(outfit=cast.kettle_bench, username=name, role=Role.CREW, password=PASSWORD)
