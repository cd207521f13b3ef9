"""Operations that are performed together: the device, the moment, and how they are written down."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from herd.accounts.models import Outfit
from herd.intake.matching.numbers import Row, numbers_of
from herd.ledger.entry import Entry, Source
from herd.ledger.models import ChangesetKind
from herd.sync.models import Device
from herd.sync.protocol import Sent

READING_KEYS = {"eid": "eid", "vid": "vid", "nues": "metal", "tattoo": "tattoo", "brand": "brand"}


@dataclass(frozen=True, slots=True)
class Run:
    """A run of operations of one device; `animals` says which animal stands for each id that they name."""

    device: Device
    now: datetime
    animals: dict[UUID, UUID]

    @property
    def outfit(self) -> Outfit:
        """The device's outfit."""
        return self.device.outfit

    def entry(self, title: str) -> Entry:
        """Say in the ledger that the device wrote."""
        return Entry(self.outfit, None, ChangesetKind.DEVICE, title, signed=self.device.name, is_performed=True)

    def source(self, sent: Sent) -> Source:
        """Say where a fact came from: the device, its own number of the operation, the operation."""
        return Source(self.device.name, min(sent.dseq, 2**31 - 1) or None, sent.op_id)

    def day(self, sent: Sent) -> date:
        """The day at the ranch on which it happened."""
        return sent.told.at.astimezone(self.outfit.zone).date()

    def subject(self, sent: Sent) -> UUID | None:
        """The animal that the operation names by an id of ours or of the device's, where it is known."""
        return self.animals.get(sent.animal) if sent.animal else None

    def row(self, sent: Sent, **readings: object) -> Row:
        """The operation as a staged row: whose it is, when, and what it says."""
        animal = self.subject(sent)
        named = {"animal": str(animal)} if animal else {}
        numbers = {READING_KEYS.get(kind, kind): number for kind, number in sent.numbers.items() if number}
        said = {"day": self.day(sent).isoformat(), **named, **numbers, **readings}
        row = Row(sent.op_id, self.device.pk, self.device.name, sent.dseq, sent.dseq, said, [])
        row.numbers = numbers_of(said)
        return row
