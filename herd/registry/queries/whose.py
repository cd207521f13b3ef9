"""Whose many numbers are: each as it was written, with the animal that alone wears it, or the reason why none."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import TagWearing, WearingEnded
from herd.values.cells import strip_guards
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.metal import might_be_metal, read_metal
from herd.values.nearness import near_numbers
from herd.values.problems import Unreadable
from herd.values.visual import read_visual

# Beyond this many unknown numbers it is another herd's list, and near misses would only mislead.
MOST_NEAR = 200
MOST_NAMED = 5
# A number of so many digits is an EID that was cut short; no visual tag has them (common practice, no source).
FEWEST_EID_DIGITS = 10


@dataclass(frozen=True, slots=True)
class Told:
    """One number as written: its animal, or the reason why it names none and the animals it may have meant.

    `place` counts the numbers from 1; `is_read` is False where it could not be read as a number at all.
    """

    place: int
    text: str
    animal_id: UUID | None = None
    reason: str = ""
    may_be: tuple[UUID, ...] = ()
    is_read: bool = True


@dataclass(frozen=True, slots=True)
class _Number:
    """A number in the record's spellings, with a colour that stood beside it."""

    spellings: frozenset[str]
    colour: str = ""


@dataclass(frozen=True, slots=True)
class _Worn:
    """A wearing of a number; `rank` is 0 where it was on the animal that day, 1 where it is now, 2 before or after."""

    animal_id: UUID
    colour: str
    rank: int


def whose(outfit: Outfit, texts: Sequence[str], day: date, among: Collection[UUID] = frozenset()) -> list[Told]:
    """Say of each number whose it is, in a number of queries that grows with the thousands of numbers only.

    A number worn on the day goes before one worn at another time. Where several animals wear one, as visual tags
    of two colours, those of `among` (whom one expects to see) go before others.
    """
    read: list[_Number | Unreadable] = [_read(text) for text in texts]
    wanted = {spelling for one in read if isinstance(one, _Number) for spelling in one.spellings}
    worn = _worn(outfit, wanted, day)
    told = [_tell(place, text, one, worn, among) for place, (text, one) in enumerate(zip(texts, read, strict=True), 1)]
    return _with_near(outfit, told, read, day)


def _read(text: str) -> _Number | Unreadable:
    inner = " ".join(strip_guards(text).split())
    try:
        if might_be_electronic(inner) or (inner.isdecimal() and len(inner) >= FEWEST_EID_DIGITS):
            return _Number(frozenset({read_electronic(inner).number.digits}))
        if might_be_metal(inner):
            return _Number(frozenset({read_metal(inner).number, inner.upper()}))
        visual = read_visual(inner)
    except Unreadable as problem:
        return problem
    number = visual.number
    return _Number(frozenset({number, number.replace(" ", ""), number.replace("-", "")}), visual.colour)


def _worn(outfit: Outfit, numbers: Iterable[str], day: date) -> dict[str, list[_Worn]]:
    found: dict[str, list[_Worn]] = defaultdict(list)
    for some in in_steps(numbers):
        rows = TagWearing.objects.of(outfit).filter(tag__outfit=outfit, tag__number__in=some, animal__is_void=False)
        rows = rows.exclude(ended=WearingEnded.DATA_ERROR)
        for number, colour, animal_id, since, until, ended in rows.values_list(
            "tag__number", "tag__colour", "animal_id", "worn_from", "worn_to", "ended"
        ):
            was_on = (since is None or since <= day) and (not ended or (until is not None and until > day))
            found[number].append(_Worn(animal_id, colour, 0 if was_on else 2 if ended else 1))
    return found


def _tell(
    place: int, text: str, read: _Number | Unreadable, worn: dict[str, list[_Worn]], among: Collection[UUID]
) -> Told:
    if isinstance(read, Unreadable):
        return Told(place, text, reason=read.reason, is_read=False)
    wearers = [one for spelling in sorted(read.spellings) for one in worn.get(spelling, ())]
    if read.colour:
        others = {one.animal_id for one in wearers if one.colour not in (read.colour, "")}
        wearers = [one for one in wearers if one.colour in (read.colour, "")]
        if others and not wearers:
            reason = f"{text.strip()} is on no animal, but the number is in another colour."
            return Told(place, text, reason=reason, may_be=tuple(sorted(others)[:MOST_NAMED]))
    best = min((one.rank for one in wearers), default=0)
    animals = {one.animal_id for one in wearers if one.rank == best}
    if len(animals) > 1:
        animals = animals & set(among) or animals
    if len(animals) == 1:
        return Told(place, text, animals.pop())
    if animals:
        reason = f"{len(animals)} animals answer to it; give the colour or the EID."
        return Told(place, text, reason=reason, may_be=tuple(sorted(animals)[:MOST_NAMED]))
    # A word without a digit that nobody wears was no number, and so counts for no head.
    is_read = any(mark.isdigit() for mark in text)
    return Told(place, text, reason="No animal of this outfit wears or wore it.", is_read=is_read)


def _with_near(
    outfit: Outfit, told: list[Told], read: Sequence[_Number | Unreadable], day: date
) -> list[Told]:
    """Name for numbers that nobody wears the animals that wear one a slip away."""
    unknown = [one for one in told if one.animal_id is None and one.is_read and not one.may_be][:MOST_NEAR]
    near: dict[int, set[str]] = {}
    for one in unknown:
        number = read[one.place - 1]
        near[one.place] = {
            slip for spelling in getattr(number, "spellings", ()) for slip in near_numbers(spelling)
        }
    worn = _worn(outfit, {number for some in near.values() for number in some}, day)
    for one in unknown:
        animals = {
            wearing.animal_id for number in near[one.place] for wearing in worn.get(number, ()) if wearing.rank < 2
        }
        may_be = tuple(sorted(animals)[:MOST_NAMED])
        told[one.place - 1] = Told(one.place, one.text, reason=one.reason, may_be=may_be)
    return told
