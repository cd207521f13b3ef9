"""Tags: put one on, take one off, replace one that was lost or broken, settle one found on another animal."""

from collections.abc import Sequence
from dataclasses import dataclass
from dataclasses import replace as changed
from datetime import date
from uuid import UUID

from herd.ledger.entry import Entry
from herd.registry.models import Animal, TagKind, TagWearing, WearingBegan, WearingEnded
from herd.registry.services.batch import Batch, PutOn, TakeOff
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.writer import write


@dataclass(frozen=True, slots=True)
class Hangs:
    """A tag that hangs on another animal than the record says: which, since or as of when, and why.

    `own_ended` ends the EID that the animal wears so far; `second_reason` lets it stay on instead.
    """

    animal_id: UUID
    on: date
    reason: str
    own_ended: str = ""
    second_reason: str = ""


def put_on(*, entry: Entry, tag: PutOn) -> None:
    """Put a tag on an animal; raises Refused where the tag or the animal is not free."""
    write(entry, Batch(put_on=[tag]))


def take_off(
    *, entry: Entry, wearing_id: UUID, on: date, ended: str, reason: str = "", removed_at: str = ""
) -> None:
    """Take a tag off, with how it ended, why, and where; raises Refused."""
    write(entry, Batch(take_off=[TakeOff(wearing_id, on, ended, reason=reason, removed_at=removed_at)]))


def replace(
    *, entry: Entry, old: TagWearing, ended: str, new: PutOn, reason: str = "", removed_at: str = ""
) -> None:
    """End one wearing and begin another in one step, so that old and new number stand in one changeset.

    The record that 9 CFR 86.4(d) and (e) ask for after a loss or a replacement: the day, both numbers, the type
    of each device, the reason, and where the old one came off.
    """
    if new.worn_from is None:
        raise ValueError("A replaced tag needs the day on which the new one went on.")
    off = TakeOff(old.pk, new.worn_from, ended, reason=reason, removed_at=removed_at)
    write(entry, Batch(take_off=[off], put_on=[changed(new, replaces=old.pk)]))


def pass_on(*, entry: Entry, wearing: TagWearing, hangs: Hangs) -> None:
    """The tag came off one animal and was put on another that day; raises Refused."""
    _check_other(entry, wearing, hangs)
    off = TakeOff(wearing.pk, hangs.on, WearingEnded.REMOVED.value, reason=hangs.reason)
    began = WearingBegan.RETAGGED if hangs.own_ended else WearingBegan.TAGGED
    new = _put_on(wearing, hangs, began, hangs.on, "day")
    write(entry, Batch(take_off=[off, *_own_off(entry, wearing, hangs)], put_on=[new]))


def set_right(*, entry: Entry, wearing: TagWearing, hangs: Hangs) -> None:
    """The record was wrong all along: the tag was on the other animal from the start.

    One wearing ends as a data error on the day it was noticed, the other opens on the day that the first did;
    raises Refused, as where the other animal was born later.
    """
    other = _check_other(entry, wearing, hangs)
    start = wearing.worn_from
    if start and other.born_on and other.born_on > start:
        raise Refused(
            [
                Refusal(
                    f"It was put on on {start}, and this animal was born on {other.born_on}; "
                    "so it came off the other one later.",
                    "on",
                    other.pk,
                )
            ]
        )
    off = TakeOff(wearing.pk, hangs.on, WearingEnded.DATA_ERROR.value, reason=hangs.reason)
    new = _put_on(wearing, hangs, WearingBegan.CORRECTED, start, wearing.worn_from_precision)
    write(entry, Batch(take_off=[off, *_own_off(entry, wearing, hangs)], put_on=[new]))


def _check_other(entry: Entry, wearing: TagWearing, hangs: Hangs) -> Animal:
    if hangs.animal_id == wearing.animal_id:
        raise Refused([Refusal("The record has the tag on that animal already.", "animal", hangs.animal_id)])
    other = Animal.objects.of(entry.outfit).filter(pk=hangs.animal_id).first()
    if other is None:
        raise Refused([Refusal("That animal is not in this outfit's record.", "animal", hangs.animal_id)])
    return other


def _own_off(entry: Entry, wearing: TagWearing, hangs: Hangs) -> Sequence[TakeOff]:
    """The EIDs that come off the other animal, where it is said that they did."""
    if wearing.kind != TagKind.EID or not hangs.own_ended:
        return ()
    rows = TagWearing.objects.of(entry.outfit).filter(animal=hangs.animal_id, kind=TagKind.EID, ended="")
    return [TakeOff(row.pk, hangs.on, hangs.own_ended, reason=hangs.reason) for row in rows]


def _put_on(
    wearing: TagWearing, hangs: Hangs, began: WearingBegan, start: date | None, precision: str
) -> PutOn:
    return PutOn(
        hangs.animal_id,
        wearing.kind,
        wearing.tag.number,
        wearing.tag.colour,
        wearing.tag.issuer_year,
        start,
        precision,
        began.value,
        "" if hangs.own_ended else hangs.second_reason,
    )
