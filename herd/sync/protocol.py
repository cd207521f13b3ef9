"""The protocol's words and limits: what a push holds, what each operation is, how it is answered."""

from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from herd.sync.models import OperationStatus
from herd.values.deviceclock import Clock, Told

SCHEMA = 1
MOST_OPERATIONS = 500
MOST_BYTES = 1024 * 1024
MOST_ITEMS = 1_000

# What each kind of operation asks of the device's role: these everyone who captures may send, others the office.
CAPTURE_KINDS = frozenset(
    {"event", "event.void", "event.correct", "animal.register", "animal.edit", "tag.on", "tag.off", "move"}
)
OFFICE_KINDS = frozenset({"ruling"})
# What only another installation of ours may send.
SIBLING_KINDS = frozenset({"changeset"})
KINDS = CAPTURE_KINDS | OFFICE_KINDS | SIBLING_KINDS


@dataclass(frozen=True, slots=True)
class Sent:
    """One operation as it was read: whose animal, by our id or by numbers, when, and what."""

    op_id: UUID
    dseq: int
    kind: str
    body: dict[str, Any]
    digest: str
    told: Told
    at_sent: str
    animal: UUID | None = None
    numbers: dict[str, str] = field(default_factory=dict)

    @property
    def data(self) -> dict[str, Any]:
        """The operation's own members."""
        data = self.body.get("data")
        return dict(data) if isinstance(data, dict) else {}


@dataclass(frozen=True, slots=True)
class Malformed:
    """What can't be read as an operation, with the reason and where it lies (RFC 6901)."""

    body: Any
    digest: str
    reason: str
    pointer: str = ""
    op_id: UUID | None = None


@dataclass(slots=True)
class Answer:
    """What became of one operation; `event` is the event of the record that it equals, where it has none of its own."""

    status: OperationStatus
    reasons: list[dict[str, str]] = field(default_factory=list)
    animal: UUID | None = None
    row: UUID | None = None
    kept: dict[str, Any] = field(default_factory=dict)
    event: UUID | None = None

    def as_dict(self) -> dict[str, Any]:
        """The answer as it is sent and stored."""
        found: dict[str, Any] = {"status": str(self.status)}
        if self.reasons:
            found["reasons"] = self.reasons
        if self.animal:
            found["animal"] = str(self.animal)
        if self.event:
            found["event"] = str(self.event)
        if self.kept:
            found["conflicts"] = self.kept
        return found


def refused(reason: str, pointer: str = "") -> Answer:
    """Keep an operation aside, with the reason."""
    return Answer(OperationStatus.QUARANTINED, [{"pointer": pointer, "detail": reason}])


@dataclass(frozen=True, slots=True)
class Push:
    """A push: its operations as they came, and what the device's clocks showed."""

    operations: list[Any]
    contact: Clock | None = None
