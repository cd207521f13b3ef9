"""What each kind of operation that a device sends does to the record."""

from collections.abc import Callable, Sequence
from uuid import UUID

from herd.sync.performing import animals, events, moves, tags
from herd.sync.performing.run import Run
from herd.sync.protocol import Answer, Sent

Perform = Callable[[Run, Sequence[Sent]], dict[UUID, Answer]]

VERBS: dict[str, Perform] = {
    "event": events.record,
    "event.void": events.void,
    "event.correct": events.correct,
    "animal.register": animals.register,
    "animal.edit": animals.edit,
    "tag.on": tags.put_on,
    "tag.off": tags.take_off,
    "move": moves.move,
    "ruling": moves.rule,
}
