"""`manage.py outfit` opens an outfit with its owner, or makes nothing and says why."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from herd.accounts.models import Outfit, OutfitPerson, Person, Role

pytestmark = pytest.mark.django_db
PASSWORD = "a good long saddle"


def open_outfit(*arguments):
    said = StringIO()
    call_command("outfit", *arguments, stdout=said)
    return said.getvalue()


def test_an_outfit_is_opened_with_its_owner(monkeypatch):
    monkeypatch.setenv("NOTCHBOOK_PASSWORD", PASSWORD)
    said = open_outfit(
        "long-draw", "--name", "Long Draw", "--time-zone", "America/Boise", "--unit", "kg", "--owner", "ada"
    )
    outfit = Outfit.objects.get()
    assert (outfit.code, outfit.name, outfit.time_zone, outfit.weight_unit) == (
        "long-draw", "Long Draw", "America/Boise", "kg",
    )  # fmt: skip
    assert OutfitPerson.objects.get(outfit=outfit, person__username="ada").role == Role.OWNER
    assert Person.objects.get().check_password(PASSWORD)
    assert "Long Draw" in said
    assert PASSWORD not in said


def test_an_owner_is_not_needed():
    open_outfit("long-draw", "--name", "Long Draw")
    assert Outfit.objects.get().weight_unit == "lb"
    assert not Person.objects.exists()


def test_someone_known_already_owns_a_second_outfit_with_the_same_password(monkeypatch):
    monkeypatch.setenv("NOTCHBOOK_PASSWORD", PASSWORD)
    open_outfit("long-draw", "--name", "Long Draw", "--owner", "ada")
    monkeypatch.setenv("NOTCHBOOK_PASSWORD", "another long saddle")
    open_outfit("far-rim", "--name", "Far Rim", "--owner", "ada")
    assert Person.objects.get().check_password(PASSWORD)
    assert OutfitPerson.objects.filter(role=Role.OWNER).count() == 2


@pytest.mark.parametrize(
    ("arguments", "password", "reason"),
    [
        (["Long Draw", "--name", "Long Draw"], PASSWORD, "code"),
        (["long-draw", "--name", "  "], PASSWORD, "name"),
        (["long-draw", "--name", "Long Draw", "--time-zone", "Denver"], PASSWORD, "is not a time zone"),
        (["long-draw", "--name", "Long Draw", "--owner", "ada"], "short", "password"),
        (["long-draw", "--name", "Long Draw", "--owner", "a b"], PASSWORD, "username"),
        (["KETTLE", "--name", "Another Kettle"], PASSWORD, "already"),
    ],
)
def test_what_is_refused_makes_nothing(monkeypatch, arguments, password, reason):
    Outfit.objects.create(code="kettle", name="Kettle Bench")
    monkeypatch.setenv("NOTCHBOOK_PASSWORD", password)
    with pytest.raises(CommandError, match=reason):
        open_outfit(*arguments)
    assert Outfit.objects.count() == 1
    assert not Person.objects.exists()


def test_without_a_console_the_password_has_to_be_given(monkeypatch):
    monkeypatch.delenv("NOTCHBOOK_PASSWORD", raising=False)
    monkeypatch.setattr("sys.stdin", StringIO())
    with pytest.raises(CommandError, match="NOTCHBOOK_PASSWORD"):
        open_outfit("long-draw", "--name", "Long Draw", "--owner", "ada")
    assert not Outfit.objects.exists()
