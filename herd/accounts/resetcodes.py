"""Passwords set anew: by a one-time code that an owner makes, or on the computer itself."""

import secrets
from datetime import timedelta

from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from herd.accounts.models import OutfitChangeKind, OutfitPerson, Person, ResetCode, Role
from herd.accounts.noting import note_in_each_outfit
from herd.accounts.services import AccountError, check_password_for

HOURS = 24
MOST_FAILURES = 10
# Without letters and digits that are mistaken for each other on paper; twelve of 30 are 58 bits.
SIGNS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 12
WRONG = "That name and code don't belong together, or the code was used or is older than 24 hours. Ask for a new one."
ELSEWHERE = (
    "{} also works in an outfit that you don't own, so a code of yours can't open it. The person changes the password "
    "after signing in; or someone at the computer that runs Notchbook uses manage.py password."
)


def may_make_code(*, owner: Person, person: Person) -> bool:
    """Whether an owner may reset someone's password: only where all the person's outfits are the owner's own."""
    owned = OutfitPerson.objects.filter(person=owner, role=Role.OWNER).values("outfit")
    places = OutfitPerson.objects.filter(person=person)
    return places.exists() and not places.exclude(outfit__in=owned).exists()


@transaction.atomic
def make_code(*, person: Person, by: Person | None) -> str:
    """Return a new one-time code for a person, valid for 24 hours; an earlier one opens nothing any more.

    `by` is the owner who asks, None on the computer itself. Raises AccountError where it is not the owner's to give.
    """
    if by is not None and not may_make_code(owner=by, person=person):
        raise AccountError(ELSEWHERE.format(person))
    code = "".join(secrets.choice(SIGNS) for _ in range(LENGTH))
    ResetCode.objects.update_or_create(
        person=person,
        defaults={
            "code_hash": make_password(code),
            "expires_at": timezone.now() + timedelta(hours=HOURS),
            "failures": 0,
        },
    )
    _note(person, f"A one-time code for a new password was made for {person}.", by)
    return "-".join(code[start : start + 4] for start in range(0, LENGTH, 4))


def use_code(*, username: str, code: str, password: str) -> Person:
    """Set a new password by a one-time code, which ends all sessions of the person; raises AccountError.

    The same sentence answers an unknown name, a wrong code, an old one and one used before.
    """
    kept = ResetCode.objects.select_related("person").filter(person__username=username.strip()).first()
    if kept is None:
        # Hashed all the same, so that the answer takes as long as for a wrong code.
        make_password(_bare(code))
        raise AccountError(WRONG, "code")
    if not check_password(_bare(code), kept.code_hash):
        ResetCode.objects.filter(pk=kept.pk).update(failures=F("failures") + 1)
        raise AccountError(WRONG, "code")
    with transaction.atomic():
        fresh = ResetCode.objects.filter(pk=kept.pk, code_hash=kept.code_hash, failures__lt=MOST_FAILURES)
        is_live = fresh.filter(expires_at__gt=timezone.now(), person__is_active=True).delete()[0]
        if not is_live:
            raise AccountError(WRONG, "code")
        # A password that does not hold rolls the deletion back: the code opens once more.
        set_password(person=kept.person, password=password, says=f"{kept.person} set a new password by code.")
    return kept.person


@transaction.atomic
def set_password(*, person: Person, password: str, says: str) -> None:
    """Set a password, which ends the person's sessions everywhere; raises AccountError where it is too weak."""
    check_password_for(person, password)
    person.set_password(password)
    person.save(update_fields=["password"])
    ResetCode.objects.filter(person=person).delete()
    _note(person, says, None)


def note_own_change(person: Person) -> None:
    """Note that someone changed their own password, and drop a code that was still open."""
    ResetCode.objects.filter(person=person).delete()
    _note(person, f"{person} changed their own password.", person)


def _bare(code: str) -> str:
    """The code without dashes and spaces, in capitals."""
    return "".join(sign for sign in code.upper() if sign.isalnum())


def _note(person: Person, says: str, by: Person | None) -> None:
    note_in_each_outfit(of=person, kind=OutfitChangeKind.PASSWORD, says=says, by=by)
