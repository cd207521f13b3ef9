"""Opens outfits and gives people their roles; with resetcodes.py everything that writes accounts passes here."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from herd.accounts.models import Outfit, OutfitChangeKind, OutfitPerson, Person, ResetCode, Role
from herd.accounts.noting import note_change
from herd.values.mass import WeightUnit

LAST_OWNER = "An outfit needs an owner, and this is the last one. Make someone else an owner first."


class AccountError(ValueError):
    """Nothing was written; the text is one sentence or more, `field` the part that it stands beside."""

    def __init__(self, text: str, field: str = "") -> None:
        super().__init__(text)
        self.field = field


@transaction.atomic
def open_outfit(
    *,
    code: str,
    name: str,
    time_zone: str = "America/Denver",
    weight_unit: WeightUnit = WeightUnit.LB,
    premises_number: str = "",
) -> Outfit:
    """Make an outfit; raises AccountError for a code that is taken or any part that is not valid."""
    outfit = Outfit(
        code=code.strip(),
        name=" ".join(name.split()),
        time_zone=time_zone.strip(),
        weight_unit=weight_unit.value,
        premises_number=premises_number.strip().upper(),
    )
    if Outfit.objects.filter(code__iexact=outfit.code).exists():
        raise AccountError(f"There is an outfit with the code {outfit.code} already.")
    try:
        outfit.full_clean()
        with transaction.atomic():
            outfit.save(force_insert=True)
    except ValidationError as problem:
        raise AccountError(_sentences(problem)) from problem
    except IntegrityError as problem:
        raise AccountError(f"There is an outfit with the code {outfit.code} already.") from problem
    return outfit


@transaction.atomic
def add_person(
    *,
    outfit: Outfit,
    username: str,
    role: Role,
    password: str | None = None,
    full_name: tuple[str, str] = ("", ""),
    by: Person | None = None,
) -> Person:
    """Give a person a role in the outfit; makes the person, for which a password is needed, where unknown.

    A person who is known keeps password and name; the role in this outfit becomes the one given.
    `full_name` is the given name and the family name. Raises AccountError.
    """
    person = Person.objects.filter(username=username.strip()).first()
    if person is None:
        if not password:
            raise AccountError(f"{username.strip()} is new, so a password is needed.", "password")
        person = _make_person(username.strip(), password, full_name)
        _give_role(outfit, person, role, by)
        # Only now does the person belong to the outfit whose name the password must not be.
        check_password_for(person, password)
    else:
        _give_role(outfit, person, role, by)
    return person


@transaction.atomic
def add_person_without_password(
    *, outfit: Outfit, username: str, role: Role, full_name: tuple[str, str], by: Person | None
) -> Person:
    """Make a person who can't sign in before a one-time code has set the first password; raises AccountError."""
    person = _make_person(username.strip(), None, full_name)
    _give_role(outfit, person, role, by)
    return person


@transaction.atomic
def change_role(*, place: OutfitPerson, role: Role, by: Person | None) -> None:
    """Give a person another role in the outfit; raises AccountError where that leaves it without an owner."""
    _give_role(place.outfit, place.person, role, by)


@transaction.atomic
def remove_person(*, place: OutfitPerson, by: Person | None) -> None:
    """Take a person out of the outfit; what he or she wrote stays. Raises AccountError for the last owner."""
    outfit = _locked(place.outfit)
    _keep_an_owner(outfit, place.person)
    if OutfitPerson.objects.filter(outfit=outfit, person=place.person).delete()[0]:
        _note(outfit, f"{place.person} was taken out of the outfit.", by)


def is_known_person(username: str) -> bool:
    """Whether someone signs in under this name."""
    return Person.objects.filter(username=username.strip()).exists()


def check_password_for(person: Person, password: str) -> None:
    """Raise AccountError unless the password is long and odd enough for this person."""
    try:
        validate_password(password, person)
    except ValidationError as problem:
        raise AccountError(_sentences(problem), "password") from problem


def _give_role(outfit: Outfit, person: Person, role: Role, by: Person | None) -> None:
    outfit = _locked(outfit)
    before = OutfitPerson.objects.filter(outfit=outfit, person=person).first()
    if before is not None and before.role == role:
        return
    if role != Role.OWNER:
        _keep_an_owner(outfit, person)
    OutfitPerson.objects.update_or_create(outfit=outfit, person=person, defaults={"role": Role(role)})
    word = Role(role).label
    if before is None:
        # A code made by the owner of another outfit must not open this one.
        ResetCode.objects.filter(person=person).delete()
        _note(outfit, f"{person} joined the outfit as {word}.", by)
    else:
        _note(outfit, f"{person} is {word} now, and was {before.get_role_display()} before.", by)


def _locked(outfit: Outfit) -> Outfit:
    """The outfit with its row locked, so that two owners can't step down in the same moment."""
    return Outfit.objects.select_for_update().get(pk=outfit.pk)


def _keep_an_owner(outfit: Outfit, person: Person) -> None:
    owners = set(OutfitPerson.objects.filter(outfit=outfit, role=Role.OWNER).values_list("person_id", flat=True))
    if owners == {person.pk}:
        raise AccountError(LAST_OWNER, "role")


def _note(outfit: Outfit, says: str, by: Person | None) -> None:
    note_change(outfit=outfit, kind=OutfitChangeKind.PEOPLE, says=says, by=by)


def _make_person(username: str, password: str | None, full_name: tuple[str, str]) -> Person:
    if Person.objects.filter(username__iexact=username).exists():
        raise AccountError(f"There is someone called {username} already; mind capital letters.", "username")
    person = Person(username=username, first_name=full_name[0], last_name=full_name[1])
    if password is None:
        person.set_unusable_password()
    else:
        person.set_password(password)
    try:
        person.full_clean()
        with transaction.atomic():
            person.save(force_insert=True)
    except ValidationError as problem:
        raise AccountError(_sentences(problem), "username") from problem
    except IntegrityError as problem:
        raise AccountError(f"There is someone called {username} already.", "username") from problem
    return person


def _sentences(problem: ValidationError) -> str:
    if not hasattr(problem, "error_dict"):
        return " ".join(problem.messages)
    return " ".join(
        f"{field.replace('_', ' ')}: {message}"
        for field, messages in problem.message_dict.items()
        for message in messages
    )
