"""What a writer says of himself and of his source: the entry, the source line, the subject."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from herd.accounts.models import Outfit, Person
from herd.ledger.models import Changeset, ChangesetKind


@dataclass(frozen=True, slots=True)
class Entry:
    """Who writes, for which outfit, and on what occasion; every service asks for one.

    `signed` is the name that stands beside the changeset where no person wrote it, such as a device's.
    `is_performed` says that it comes of operations which are kept and can be performed again elsewhere. `id` and
    `recorded_at` are given where the changeset was written in another installation first.
    """

    outfit: Outfit
    person: Person | None
    kind: ChangesetKind
    title: str
    day_id: UUID | None = None
    undoes: Changeset | None = None
    signed: str = ""
    is_performed: bool = False
    id: UUID | None = None
    recorded_at: datetime | None = None


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
