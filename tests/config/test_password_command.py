"""The command for whoever forgot: a password asked for, or a code printed."""

import re

import pytest
from django.core.management import CommandError, call_command

from herd.accounts.models import OutfitChange
from herd.accounts.resetcodes import use_code

NEW = "a brand new halter"


@pytest.fixture
def typed(monkeypatch):
    monkeypatch.setenv("NOTCHBOOK_PASSWORD", NEW)


def test_the_password_is_set_and_noted(cast, typed, capsys):
    call_command("password", "ada")
    cast.ada.refresh_from_db()
    assert cast.ada.check_password(NEW)
    assert "The password of ada is set" in capsys.readouterr().out
    assert OutfitChange.objects.get().says == "ada got a new password at the computer."


def test_all_sessions_end(cast, typed, client):
    client.force_login(cast.ada)
    call_command("password", "ada")
    assert client.get("/").status_code == 302


def test_a_code_is_printed_that_works(cast, capsys):
    call_command("password", "ada", "--code")
    code = re.search(r"[0-9A-Z]{4}(-[0-9A-Z]{4}){2}", capsys.readouterr().out)
    assert use_code(username="ada", code=code[0], password=NEW) == cast.ada


def test_the_computer_may_make_a_code_for_someone_of_two_outfits(cast, capsys):
    cast.far_rim.people.create(person=cast.ada, role="reader")
    call_command("password", "ada", "--code")
    assert "One-time code for ada" in capsys.readouterr().out


def test_an_unknown_name_is_answered_with_the_known_ones(cast, typed):
    with pytest.raises(CommandError, match=r"Nobody signs in as adda\. Known are: ada, ben"):
        call_command("password", "adda")


@pytest.mark.django_db
def test_an_empty_installation_says_what_to_do():
    with pytest.raises(CommandError, match=r"manage\.py outfit"):
        call_command("password", "ada")


def test_a_weak_password_is_refused(cast, monkeypatch):
    monkeypatch.setenv("NOTCHBOOK_PASSWORD", "short")
    with pytest.raises(CommandError, match="too short"):
        call_command("password", "ada")
