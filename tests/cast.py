"""The cast of the tests: the outfits Kettle Bench and Far Rim, their people, short ways to write for them."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

import pytest

from herd.accounts.models import Outfit, OutfitPerson, Person, Role
from herd.ledger.entry import Entry
from herd.ledger.models import ChangesetKind
from herd.registry.services import animals

PASSWORD = "a good long saddle"


@dataclass(frozen=True, slots=True)
class Cast:
    """Everyone: ada owns Kettle Bench, ben is its office, cal its crew, dot reads; eve owns Far Rim."""

    kettle_bench: Outfit
    far_rim: Outfit
    ada: Person
    ben: Person
    cal: Person
    dot: Person
    eve: Person


@pytest.fixture
def kettle_bench(db: None) -> Outfit:
    return Outfit.objects.create(code="kettle-bench", name="Kettle Bench")


@pytest.fixture
def far_rim(db: None) -> Outfit:
    return Outfit.objects.create(code="far-rim", name="Far Rim")


def join_outfit(outfit: Outfit, username: str, role: Role) -> Person:
    """Make a person with PASSWORD and the role in the outfit."""
    person = Person.objects.create_user(username=username, password=PASSWORD)
    OutfitPerson.objects.create(outfit=outfit, person=person, role=role)
    return person


def everyone() -> Cast:
    """Make both outfits and all people, for tests that share them over a module."""
    bench = Outfit.objects.create(code="kettle-bench", name="Kettle Bench")
    rim = Outfit.objects.create(code="far-rim", name="Far Rim")
    roles = {"ada": Role.OWNER, "ben": Role.OFFICE, "cal": Role.CREW, "dot": Role.READER}
    people = {name: join_outfit(bench, name, role) for name, role in roles.items()}
    return Cast(bench, rim, **people, eve=join_outfit(rim, "eve", Role.OWNER))


@pytest.fixture
def ada(kettle_bench: Outfit) -> Person:
    return join_outfit(kettle_bench, "ada", Role.OWNER)


@pytest.fixture
def ben(kettle_bench: Outfit) -> Person:
    return join_outfit(kettle_bench, "ben", Role.OFFICE)


@pytest.fixture
def cal(kettle_bench: Outfit) -> Person:
    return join_outfit(kettle_bench, "cal", Role.CREW)


@pytest.fixture
def dot(kettle_bench: Outfit) -> Person:
    return join_outfit(kettle_bench, "dot", Role.READER)


@pytest.fixture
def eve(far_rim: Outfit) -> Person:
    return join_outfit(far_rim, "eve", Role.OWNER)


@pytest.fixture
def cast(
    kettle_bench: Outfit, far_rim: Outfit, ada: Person, ben: Person, cal: Person, dot: Person, eve: Person
) -> Cast:
    return Cast(kettle_bench, far_rim, ada, ben, cal, dot, eve)


def entry(outfit: Outfit, person: Person | None = None, title: str = "test") -> Entry:
    """Say who writes, as every service asks."""
    return Entry(outfit, person, ChangesetKind.OFFICE, title)


def eid_tag(number: str, **more: Any) -> dict[str, Any]:
    """An EID as `register` takes it."""
    return {"kind": "eid", "number": number, **more}


def vid_tag(number: str, colour: str = "yellow", year: int = 0) -> dict[str, Any]:
    """A visual tag as `register` takes it."""
    return {"kind": "vid", "number": number, "colour": colour, "issuer_year": year}


def register(
    outfit: Outfit,
    *tags: dict[str, Any],
    animal_class: str = "cow",
    on: date | None = date(2024, 3, 1),
    group_id: UUID | None = None,
    **facts: Any,
) -> UUID:
    """Register an animal with its tags and return its id."""
    return animals.register(
        entry=entry(outfit, title="registered"),
        facts={"entry_class": animal_class, **facts},
        tags=tags,
        group_id=group_id,
        on=on,
    )
