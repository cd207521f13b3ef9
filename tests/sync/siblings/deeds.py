"""The small model of a history: who did what where, as it was meant there, and what a restore may cost."""

from dataclasses import dataclass, field
from uuid import UUID

from tests.sync.properties.backup import Backup


@dataclass(slots=True)
class Deed:
    """One thing that was done: at which place, to what, and what was said.

    An edit says its field, the value seen and the new one; a weight its kilograms; a tag its number; a ruling the
    key of its question. A phone keeps what it did; what was done at a desk may go with the desk's database.
    """

    at: int
    kind: str
    subject: UUID
    said: tuple[str, ...]
    by_phone: bool
    home: int
    may_be_lost: bool = False


@dataclass(slots=True)
class Kept:
    """A backup, and what had been done and had arrived at the office when it was made."""

    backup: Backup
    count: int
    arrived: list[int]


@dataclass(slots=True)
class Done:
    """All that was done; `undone` are the things that somebody took back."""

    deeds: list[Deed] = field(default_factory=list)
    undone: set[UUID] = field(default_factory=set)
    # So many of the deeds have arrived at the office, if they were done at that place.
    arrived: list[int] = field(default_factory=lambda: [0, 0, 0])
    put_back: list[int] = field(default_factory=lambda: [0, 0, 0])

    def note(self, at: int, kind: str, subject: UUID, *said: str, by_phone: bool = False, home: int = 0) -> None:
        """Note a deed."""
        self.deeds.append(Deed(at, kind, subject, said, by_phone, home))

    def of(self, kind: str) -> list[Deed]:
        """The deeds of a kind."""
        return [one for one in self.deeds if one.kind == kind]

    def is_excused(self, deed: Deed) -> bool:
        """Whether nothing need be left of it: it was taken back, or went with the only database that had it."""
        return deed.may_be_lost or deed.subject in self.undone

    def kept(self, backup: Backup) -> Kept:
        """A backup of this moment."""
        return Kept(backup, len(self.deeds), list(self.arrived))

    def was_put_back(self, at: int, kept: Kept) -> None:
        """A place is as it was: what was done at its desk since is lost, where nobody else has it.

        An office loses what was done at its own desk. What came from elsewhere it gets again, unless that place
        was put back itself since then and does not know any more that it had sent it.
        """
        for number, deed in enumerate(self.deeds):
            alone = deed.at == at and number >= max(kept.count, self.arrived[at] if at else 0)
            unknown = at == 0 and kept.arrived[deed.at] <= number < self.put_back[deed.at]
            ruled_here = deed.home == at != 0 and number >= kept.count
            deed.may_be_lost |= not deed.by_phone and (alone or unknown or ruled_here)
        self.put_back[at] = len(self.deeds)
        if at == 0:
            self.arrived = [min(pair) for pair in zip(self.arrived, kept.arrived, strict=True)]
