"""The demo's animals while their years are played through, and the batch that each piece of work fills."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from random import Random
from typing import Any
from uuid import UUID

from herd.config.demo.places import BULL_PASTURE
from herd.config.demo.seasons import Seasons
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent, PutOn
from herd.values.mass import Weight, WeightUnit
from herd.values.yearletters import letter_for

# The numbers are invented: nobody was given this block.
FIRST_EID = 840_270_000_000_101
COATS = ("black", "black", "black", "red", "black white face", "red white face")
BREED_OF = {"black": "Angus", "red": "Red Angus", "black white face": "Angus Hereford"}


@dataclass(slots=True, eq=False)
class Head:
    """One animal of the play. `gone` is the event that took it out; `calf` is the one at her side this year."""

    id: UUID
    kind: str
    born_on: date
    vid: str
    colour: str
    group: str
    eid: str = ""
    old_eid: str = ""
    pounds: int = 0
    is_here: bool = True
    is_bred: bool = False
    calf: "Head | None" = None
    gone: str = ""

    def age_on(self, day: date) -> int:
        """Whole years on a day."""
        return day.year - self.born_on.year - ((day.month, day.day) < (self.born_on.month, self.born_on.day))


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of work: a title that a person would give it, and what it writes."""

    title: str
    batch: Batch
    retags: list[tuple[Head, str, date, str]] = field(default_factory=list)


@dataclass(slots=True)
class Play:
    """The herd as it stands at one point of the play, and the pieces of work so far."""

    chance: Random
    seasons: Seasons
    places: dict[str, UUID]
    heads: list[Head] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)
    issued: int = 0

    def here(self, *kinds: str, group: str = "") -> list[Head]:
        """Those on hand of these kinds, and of a group."""
        return [one for one in self.heads if one.is_here and one.kind in kinds and group in ("", one.group)]

    def begin(self, title: str) -> Batch:
        """Start a piece of work."""
        self.pieces.append(Piece(title, Batch()))
        return self.pieces[-1].batch

    def next_eid(self) -> str:
        """The next number of the boxes bought; one in fifty was spoiled."""
        self.issued += 1 + (self.chance.random() < 0.02)
        return str(FIRST_EID + self.issued)

    def new_id(self, day: date) -> UUID:
        """An id that is the same each time the demo is made."""
        millisecond = (day - date(1970, 1, 1)).days * 86_400_000 + self.chance.randrange(86_400_000)
        low = self.chance.getrandbits(62)
        return UUID(int=millisecond << 80 | 0x7 << 76 | self.chance.getrandbits(12) << 64 | 0b10 << 62 | low)


def calf_number(number: int, year: int) -> str:
    """A calf's visual number: its place in the calving book and the letter of its season."""
    return f"{number}{letter_for(year)}"


def register(play: Play, batch: Batch, one: Head, on: date, **facts: Any) -> None:
    """Bring an animal into the record with its tags and group."""
    known = {"entry_class": one.kind, "entered_on": on, "born_on": one.born_on, "born_precision": "day"}
    batch.animals.append(NewAnimal({**known, **facts}, one.id))
    if one.eid:
        batch.put_on.append(PutOn(one.id, "eid", one.eid, worn_from=on))
    # A calf is born in the year of its letter; a grown animal's tag is that of its second year.
    year = one.born_on.year if one.vid[-1].isalpha() else one.born_on.year + 1
    batch.put_on.append(PutOn(one.id, "vid", one.vid, one.colour, min(year, on.year), on))
    batch.joins.append(Join(one.id, play.places[one.group], on))
    play.heads.append(one)


def tell(batch: Batch, one: Head, kind: str, on: date, **data: Any) -> None:
    """Record an event of an animal."""
    batch.events.append(NewEvent(one.id, kind, on, data))


def weigh(batch: Batch, one: Head, on: date, pounds: int, purpose: str = "") -> None:
    """Record a weight in whole pounds."""
    data = {"weight": str(pounds), "unit": "lb", **({"purpose": purpose} if purpose else {})}
    heavy = Weight(Decimal(pounds), WeightUnit.LB).nanograms
    batch.events.append(NewEvent(one.id, "weight", on, data, weight_ng=heavy))
    one.pounds = pounds


def leave(batch: Batch, one: Head, kind: str, on: date, **data: Any) -> None:
    """Record a sale or a death; the animal is not in the play any more."""
    tell(batch, one, kind, on, **data)
    one.is_here, one.gone = False, kind


def move(play: Play, batch: Batch, one: Head, group: str, on: date) -> None:
    """Move an animal into another group."""
    if one.group != group:
        batch.joins.append(Join(one.id, play.places[group], on))
        one.group = group


def looks(chance: Random) -> dict[str, str]:
    """Coat and breed of one animal."""
    coat = chance.choice(COATS)
    return {"coat": coat, "breed": BREED_OF.get(coat, "Red Angus Hereford")}


def cow_pounds(chance: Random, age: int) -> int:
    """What a cow of this age weighs in fall: grown at seven."""
    return round(chance.gauss(1080 + 45 * min(age - 2, 5), 55))


def buy_bull(play: Play, number: int, born_on: date, on: date) -> Head:
    """Bring a bull into the piece of work at hand."""
    bull = Head(play.new_id(on), "bull", born_on, f"B{number}", "red", BULL_PASTURE, play.next_eid(), pounds=1500)
    batch = play.pieces[-1].batch
    register(play, batch, bull, on, coat="black", breed="Angus", origin="bull sale")
    weigh(batch, bull, on, play.chance.randint(1550, 1900))
    return bull
