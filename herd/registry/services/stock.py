"""Tag stock: boxes received, corrected and taken out, numbers marked missing and found again."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.entry import Entry
from herd.registry.models import MissingTag, TagBox, TagKind
from herd.registry.queries.stock import missing_in, run_of, wearings_in
from herd.registry.services.batch import Batch, EditPlace, NewPlace
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.writer import write
from herd.values.electronic import read_electronic
from herd.values.metal import read_metal
from herd.values.problems import Unreadable
from herd.values.runs import Run, read_run

MOST_BOXES = 200
MOST_MARKED = 2_000
NAMED = 3


@dataclass(frozen=True, slots=True)
class NewBox:
    """A box as it came: colour and year of issue tell visual tags apart, and only describe others."""

    kind: str
    first: str
    last: str
    colour: str = ""
    issuer_year: int = 0
    received_on: date | None = None
    supplier: str = ""


def receive(
    *, entry: Entry, kind: str, first: str, last: str, colour: str = "", received_on: date | None = None
) -> UUID:
    """Take a box of numbers into stock and return its id; raises Refused where the run makes no sense."""
    return receive_boxes(entry=entry, boxes=[NewBox(kind, first, last, colour, received_on=received_on)])[0]


def receive_boxes(*, entry: Entry, boxes: Sequence[NewBox]) -> list[UUID]:
    """Take boxes into stock and return their ids; raises Refused, as where one overlaps another."""
    if len(boxes) > MOST_BOXES:
        raise Refused([Refusal(f"{len(boxes)} boxes at once are too many; {MOST_BOXES} is the most.", "size")])
    _check_apart(entry.outfit, boxes)
    places = [NewPlace(TagBox.SUBJECT, asdict(box)) for box in boxes]
    write(entry, Batch(places=places))
    return [place.id for place in places]


def correct_box(*, entry: Entry, box: TagBox, new: NewBox, reason: str) -> None:
    """Set what a box is; raises Refused where a number marked missing would no longer be in it."""
    _check_own(entry, box)
    (run,) = _check_apart(entry.outfit, [new], box)
    numbers = MissingTag.objects.of(entry.outfit).filter(box=box).values_list("number", flat=True)
    outside = [number for number in numbers if run.value_of(number) is None]
    if outside:
        raise Refused([Refusal(f"{_list(outside)} marked missing, and would not be in the box any more.", "last")])
    write(entry, Batch(place_edits=[EditPlace(TagBox.SUBJECT, box.pk, asdict(new), reason)]))


def take_out(*, entry: Entry, box: TagBox, reason: str) -> None:
    """Take a box out of stock with what is marked missing in it; tags already on animals stay as they are."""
    _check_own(entry, box)
    ids = MissingTag.objects.of(entry.outfit).filter(box=box).values_list("pk", flat=True)
    edits = [EditPlace(MissingTag.SUBJECT, one, {}, reason, is_void=True) for one in ids]
    write(entry, Batch(place_edits=[*edits, EditPlace(TagBox.SUBJECT, box.pk, {}, reason, is_void=True)]))


def mark_missing(*, entry: Entry, box: TagBox, number: str, reason: str) -> None:
    """Say that a number of a box is not to be had; raises Refused for a number outside the box."""
    mark_range(entry=entry, box=box, first=number, last=number, reason=reason)


def mark_range(*, entry: Entry, box: TagBox, first: str, last: str, reason: str) -> list[UUID]:
    """Mark numbers of a box missing, and return the new marks; those marked already stay so.

    Raises Refused where numbers are not of the box, are on animals now, or are all marked already.
    """
    run = _part(entry, box, first, last)
    worn = wearings_in(entry.outfit, box, run).filter(ended="").values_list("tag__number", flat=True)
    if worn:
        raise Refused([Refusal(f"{_list(worn)} on an animal now, so not missing.", "number")])
    marked = set(missing_in(box, run).values_list("number", flat=True))
    wanted = [number for number in map(run.number, range(run.low, run.high + 1)) if number not in marked]
    if not wanted:
        raise Refused([Refusal(f"{_list(sorted(marked))} marked missing already.", "number")])
    facts = [{"box_id": box.pk, "number": number, "reason": reason} for number in wanted]
    places = [NewPlace(MissingTag.SUBJECT, one) for one in facts]
    write(entry, Batch(places=places))
    return [place.id for place in places]


def found_again(*, entry: Entry, box: TagBox, first: str, last: str, reason: str) -> list[UUID]:
    """Take back that numbers of a box are missing, and return the marks taken back; raises Refused."""
    run = _part(entry, box, first, last)
    ids = list(missing_in(box, run).values_list("pk", flat=True))
    if not ids:
        raise Refused([Refusal("None of these numbers is marked missing.", "number")])
    edits = [EditPlace(MissingTag.SUBJECT, one, {}, reason, is_void=True) for one in ids]
    write(entry, Batch(place_edits=edits))
    return ids


def _part(entry: Entry, box: TagBox, first: str, last: str) -> Run:
    """The piece of the box between two of its numbers."""
    _check_own(entry, box)
    run = run_of(box)
    ends = []
    for name, number in (("number", first), ("last", last)):
        value = run.value_of(number)
        if value is None:
            raise Refused([Refusal(f"{number or 'An empty number'} is not in the box {box}.", name)])
        ends.append(value)
    piece = run.part(*ends)
    if not len(piece):
        raise Refused([Refusal(f"{last} comes before {first}.", "last")])
    if len(piece) > MOST_MARKED:
        reason = f"{len(piece):,} numbers at once are too many; if so much is gone, correct the box itself."
        raise Refused([Refusal(reason, "last")])
    return piece


def _check_own(entry: Entry, box: TagBox) -> None:
    if box.outfit_id != entry.outfit.pk or box.is_void:
        raise Refused([Refusal("That box is not in this outfit's stock.", "box")])


def _check_apart(outfit: Outfit, boxes: Sequence[NewBox], own: TagBox | None = None) -> list[Run]:
    """Read the runs of boxes; raises Refused where one makes no sense, or shares numbers with another."""
    runs = [_read(box) for box in boxes]
    held = TagBox.objects.of(outfit).filter(kind__in={box.kind for box in boxes})
    others = [(_series(box), run_of(box), str(box)) for box in held if box != own]
    for box, run in zip(boxes, runs, strict=True):
        shared = next((name for series, other, name in others if series == _series(box) and run.overlaps(other)), "")
        if shared:
            more = " Give the year of issue to tell them apart." if box.kind == TagKind.VID else ""
            raise Refused([Refusal(f"{run.first} to {run.last} overlaps the box {shared}.{more}", "first")])
        others.append((_series(box), run, f"{run.first} to {run.last}"))
    return runs


def _series(box: NewBox | TagBox) -> tuple[str | int, ...]:
    """What tells equal numbers of one kind apart."""
    return (box.kind, box.colour, box.issuer_year) if box.kind == TagKind.VID else (box.kind,)


def _read(box: NewBox) -> Run:
    if box.kind not in TagKind.values:
        raise Refused([Refusal(f"{box.kind!r} is no kind of tag.", "kind")])
    try:
        run = read_run(box.first, box.last)
    except Unreadable as problem:
        raise Refused([Refusal(problem.reason, "last")]) from problem
    for name, number in (("first", box.first), ("last", box.last)):
        _check_number(box.kind, name, number)
    if box.kind == TagKind.EID and box.first[:3] != box.last[:3]:
        raise Refused([Refusal(f"A box can't run from {box.first} to {box.last}: the prefix differs.", "last")])
    return run


def _check_number(kind: str, name: str, number: str) -> None:
    try:
        if kind == TagKind.EID:
            read = read_electronic(number).number.digits
        elif kind == TagKind.METAL:
            read = read_metal(number).number
        else:
            return
    except Unreadable as problem:
        raise Refused([Refusal(problem.reason, name)]) from problem
    if read != number:
        raise Refused([Refusal(f"{number} would be written {read}.", name)])


def _list(numbers: Iterable[str]) -> str:
    listed = list(numbers)
    rest = f" and {len(listed) - NAMED} more" if len(listed) > NAMED else ""
    return f"{', '.join(listed[:NAMED])}{rest} {'is' if len(listed) == 1 else 'are'}"
