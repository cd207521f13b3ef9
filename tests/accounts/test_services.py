"""Outfits are opened and people given roles with every part checked first."""

import pytest

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.accounts.services import AccountError, add_person, is_known_person, open_outfit
from herd.values.mass import WeightUnit

pytestmark = pytest.mark.django_db
PASSWORD = "a good long saddle"


@pytest.fixture
def long_draw():
    return open_outfit(code="long-draw", name="Long Draw")


def test_an_outfit_keeps_what_was_given_without_stray_spaces():
    outfit = open_outfit(
        code=" long-draw ", name=" Long   Draw ", time_zone="America/Boise", weight_unit=WeightUnit.KG
    )
    outfit.refresh_from_db()
    assert (outfit.code, outfit.name, outfit.time_zone, outfit.unit) == (
        "long-draw", "Long Draw", "America/Boise", WeightUnit.KG,
    )  # fmt: skip


@pytest.mark.parametrize("code", ["long-draw", "LONG-DRAW"])
def test_a_code_serves_one_outfit_whatever_its_case(long_draw, code):
    with pytest.raises(AccountError, match="already"):
        open_outfit(code=code, name="Another")
    assert Outfit.objects.get() == long_draw


@pytest.mark.parametrize(
    ("part", "reason"),
    [
        ({"code": ""}, "code"),
        ({"code": "long draw"}, "code"),
        ({"code": "x" * 41}, "code"),
        ({"name": " "}, "name"),
        ({"name": "x" * 121}, "name"),
        ({"time_zone": "Mountain"}, "is not a time zone"),
        ({"premises_number": "123456789"}, "premises number"),
    ],
)
def test_a_part_that_is_not_valid_is_named_and_nothing_is_made(part, reason):
    with pytest.raises(AccountError, match=reason):
        open_outfit(**{"code": "long-draw", "name": "Long Draw", **part})
    assert not Outfit.objects.exists()


def test_a_new_person_signs_in_with_the_password_given(long_draw):
    ada = add_person(
        outfit=long_draw, username="ada", role=Role.OFFICE, password=PASSWORD, full_name=("Ada", "Reyes")
    )
    assert ada.check_password(PASSWORD)
    assert str(ada) == "Ada Reyes"
    assert not ada.is_staff
    assert OutfitPerson.objects.get(person=ada, outfit=long_draw).role == Role.OFFICE


def test_a_second_role_in_the_same_outfit_takes_the_place_of_the_first(long_draw):
    for role in (Role.CREW, Role.READER):
        add_person(outfit=long_draw, username="ada", role=role, password=PASSWORD)
    assert OutfitPerson.objects.get().role == Role.READER


def test_a_known_person_keeps_the_password(long_draw):
    add_person(outfit=long_draw, username="ada", role=Role.CREW, password=PASSWORD)
    add_person(outfit=long_draw, username="ada", role=Role.CREW, password="another long saddle")
    assert Person.objects.get().check_password(PASSWORD)


@pytest.mark.parametrize("password", [None, "", "short", "1234567890", "password123"])
def test_a_new_person_needs_a_password_that_holds(long_draw, password):
    with pytest.raises(AccountError, match="password"):
        add_person(outfit=long_draw, username="ada", role=Role.CREW, password=password)
    assert not is_known_person("ada")
    assert not OutfitPerson.objects.exists()
