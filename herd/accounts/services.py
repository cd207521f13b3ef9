"""Opens outfits and gives people their roles; everything that writes accounts passes here."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.values.mass import WeightUnit


class AccountError(ValueError):
    """Nothing was written; the text is one sentence or more for the person who asked."""


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
) -> Person:
    """Give a person a role in the outfit; makes the person, for which a password is needed, where unknown.

    A person who is known keeps password and name; the role in this outfit becomes the one given.
    `full_name` is the given name and the family name. Raises AccountError.
    """
    person = Person.objects.filter(username=username.strip()).first()
    if person is None:
        person = _make_person(username.strip(), password, full_name)
    OutfitPerson.objects.update_or_create(outfit=outfit, person=person, defaults={"role": Role(role)})
    return person


def is_known_person(username: str) -> bool:
    """Whether someone signs in under this name."""
    return Person.objects.filter(username=username.strip()).exists()


def _make_person(username: str, password: str | None, full_name: tuple[str, str]) -> Person:
    if not password:
        raise AccountError(f"{username} is new, so a password is needed.")
    person = Person(username=username, first_name=full_name[0], last_name=full_name[1])
    try:
        validate_password(password, person)
        person.set_password(password)
        person.full_clean()
        person.save(force_insert=True)
    except ValidationError as problem:
        raise AccountError(_sentences(problem)) from problem
    return person


def _sentences(problem: ValidationError) -> str:
    if not hasattr(problem, "error_dict"):
        return " ".join(problem.messages)
    return " ".join(
        f"{field.replace('_', ' ')}: {message}"
        for field, messages in problem.message_dict.items()
        for message in messages
    )
