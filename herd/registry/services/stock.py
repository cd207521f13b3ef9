"""Tag stock: boxes received, numbers marked missing."""

from datetime import date
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import MissingTag, TagBox, TagKind
from herd.registry.services.batch import Batch, NewPlace
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.writer import write


def receive(
    *, entry: Entry, kind: str, first: str, last: str, colour: str = "", received_on: date | None = None
) -> UUID:
    """Take a box of numbers into stock and return its id; raises Refused where the run makes no sense."""
    if kind not in TagKind.values:
        raise Refused([Refusal(f"{kind!r} is no kind of tag.", "kind")])
    same_shape = first.rstrip("0123456789") == last.rstrip("0123456789") and len(first) == len(last)
    if not same_shape or first > last:
        raise Refused([Refusal(f"A box can't run from {first} to {last}.", "last")])
    facts = {"kind": kind, "first": first, "last": last, "colour": colour, "received_on": received_on}
    place = NewPlace(TagBox.SUBJECT, facts)
    write(entry, Batch(places=[place]))
    return place.id


def mark_missing(*, entry: Entry, box: TagBox, number: str, reason: str) -> None:
    """Say that a number of a box is not to be had; raises Refused for a number outside the box."""
    if box.outfit_id != entry.outfit.pk:
        raise Refused([Refusal("That box is not in this outfit's stock.", "box")])
    if not (len(number) == len(box.first) and box.first <= number <= box.last):
        raise Refused([Refusal(f"{number} is not in the box {box}.", "number")])
    if MissingTag.objects.of(entry.outfit).filter(box=box, number=number).exists():
        raise Refused([Refusal(f"{number} is marked missing already.", "number")])
    facts = {"box_id": box.pk, "number": number, "reason": reason}
    write(entry, Batch(places=[NewPlace(MissingTag.SUBJECT, facts)]))
