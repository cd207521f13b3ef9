"""What a writer says of himself and of his source: the entry, the source line, the subject."""

from dataclasses import dataclass
from uuid import UUID

from herd.accounts.models import Outfit, Person
from herd.ledger.models import Changeset, ChangesetKind


@dataclass(frozen=True, slots=True)
class Entry:
    """Who writes, for which outfit, and on what occasion; every service asks for one.

    `signed` is the name that stands beside the changeset where no person wrote it, such as a device's.
    """

    outfit: Outfit
    person: Person | None
    kind: ChangesetKind
    title: str
    day_id: UUID | None = None
    undoes: Changeset | None = None
    signed: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """The line of a field file that a fact came from; all empty for what a person typed in the office."""

    file: str = ""
    line: int | None = None
    row: UUID | None = None


TYPED = Source()


@dataclass(frozen=True, slots=True)
class Subject:
    """What a change is about: a kind and an id, and the animal it concerns, if any."""

    kind: str
    id: UUID
    animal_id: UUID | None = None
