"""Animals that are to go somewhere: what each needs by the rule, what it wears, and what is in the way."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.registry.models import Animal, AnimalStatus, TagKind, TagWearing
from herd.registry.queries.withdrawal import withdrawals
from herd.values.classes import AnimalClass
from herd.values.movementrules import (
    EXEMPT,
    RULES,
    Counts,
    Journey,
    Need,
    Traveller,
    counts_as,
    is_dairy_breed,
    latest_day,
    need_of,
)
from herd.values.officialtags import ELECTRONIC_FROM
from herd.values.withdrawal import Withdrawal, latest_end


class Level(StrEnum):
    """How an animal stands: something in the way, something to look at, or ready."""

    STOP = "stop"
    LOOK = "look"
    READY = "ready"


@dataclass(frozen=True, slots=True)
class Plan:
    """A journey: what for, on which day, whether over a state line, and whether all are known to be dairy cattle."""

    journey: Journey
    on: date
    crosses_states: bool = True
    all_dairy: bool = False


@dataclass(frozen=True, slots=True)
class Number:
    """A number on an animal that may be official, what it counts as, and why where that is in doubt."""

    kind: str
    number: str
    counts: Counts
    why: str
    put_on: date | None = None
    precision: str = "unknown"


@dataclass(slots=True)
class Verdict:
    """One animal of a journey: why it needs official identification, its numbers, and what was found, in sentences."""

    animal: Animal
    vid: str = ""
    need: Need | None = None
    numbers: list[Number] = field(default_factory=list)
    holds: list[Withdrawal] = field(default_factory=list)
    stops: list[str] = field(default_factory=list)
    looks: list[str] = field(default_factory=list)

    @property
    def level(self) -> Level:
        """The gravest of what was found."""
        return Level.STOP if self.stops else Level.LOOK if self.looks else Level.READY

    @property
    def official(self) -> list[str]:
        """The numbers that count as official."""
        return [one.number for one in self.numbers if one.counts is Counts.OFFICIAL]

    @property
    def put_on(self) -> list[Number]:
        """The official numbers with the days on which they went on."""
        return [one for one in self.numbers if one.counts is Counts.OFFICIAL]

    @property
    def eid(self) -> str:
        """The first electronic number, official or not."""
        return next((one.number for one in self.numbers if one.kind == TagKind.EID), "")

    @property
    def name(self) -> str:
        """What people call it."""
        return self.vid or self.eid or next(iter(self.official), "no tag")


def judge(outfit: Outfit, animal_ids: Iterable[UUID], plan: Plan) -> Iterator[Verdict]:
    """Yield a verdict on each animal of the outfit, in the order given; three queries for eight hundred."""
    for ids in in_steps(animal_ids):
        herd = Animal.objects.of(outfit).in_bulk(ids)
        worn = _worn(outfit, ids)
        held = withdrawals(outfit, ids, plan.on)
        for key in ids:
            if key in herd:
                yield _verdict(Verdict(herd[key], holds=held.get(key, [])), worn[key], plan)


def _worn(outfit: Outfit, ids: Sequence[UUID]) -> dict[UUID, list[TagWearing]]:
    found: dict[UUID, list[TagWearing]] = defaultdict(list)
    rows = TagWearing.objects.of(outfit).filter(animal__in=ids, ended="").select_related("tag")
    for one in rows.order_by("is_second", "worn_from", "id"):
        found[one.animal_id].append(one)
    return found


def _verdict(one: Verdict, worn: Sequence[TagWearing], plan: Plan) -> Verdict:
    for wearing in worn:
        if wearing.kind == TagKind.VID and not one.vid:
            one.vid = str(wearing.tag)
        elif wearing.kind in {TagKind.EID, TagKind.METAL}:
            _add_number(one, wearing)
    _look_at_presence(one)
    _look_at_numbers(one, plan)
    _look_at_holds(one, plan)
    has_back = any(wearing.kind == TagKind.BACK for wearing in worn)
    if plan.journey is Journey.SLAUGHTER and not (has_back or one.official):
        one.looks.append("Neither a backtag nor an official number in the record; straight to slaughter it needs one.")
    return one


def _add_number(one: Verdict, wearing: TagWearing) -> None:
    number, put_on = wearing.tag.number, latest_day(wearing.worn_from, wearing.worn_from_precision)
    counts, why = counts_as(wearing.kind, number, put_on)
    one.numbers.append(Number(wearing.kind, number, counts, why, wearing.worn_from, wearing.worn_from_precision))
    if wearing.kind == TagKind.METAL and put_on is None:
        said = f"It isn't known when metal tag {number} went on; it is official only if before {ELECTRONIC_FROM}."
        one.looks.append(said)


def _look_at_presence(one: Verdict) -> None:
    animal = one.animal
    if animal.status != AnimalStatus.ON_HAND:
        since = f" since {animal.status_since}" if animal.status_since else ""
        one.stops.append(f"Not on hand: {AnimalStatus(animal.status).label}{since}.")
    if not animal.animal_class:
        one.looks.append("Its class is not known: cow, bull, heifer or steer.")


def _look_at_numbers(one: Verdict, plan: Plan) -> None:
    animal = one.animal
    if plan.crosses_states and plan.journey not in EXEMPT:
        is_dairy = plan.all_dairy or is_dairy_breed(animal.breed)
        one.need = need_of(Traveller(animal.animal_class, _earliest_birth(animal), is_dairy), plan.journey, plan.on)
    if one.need is Need.AGE_UNKNOWN:
        one.looks.append("No birth date, so it is taken as 18 months or over. Enter the birth if it is younger.")
    one.looks.extend(number.why for number in one.numbers if number.why)
    official = one.official
    if len(official) > 1:
        one.looks.append(f"{len(official)} official numbers: both go on the list, with why the second was put on.")
    if one.need and not official:
        words = RULES[one.need].words
        if any(number.counts is Counts.FOREIGN for number in one.numbers):
            one.looks.append(f"Needs official identification ({words}) and has only another country's number.")
        else:
            one.stops.append(f"Needs official identification ({words}) and wears none.")


def _earliest_birth(animal: Animal) -> date | None:
    """The birth at its earliest, so that a birth known to the month or the year errs to the older side."""
    if animal.born_on is None or animal.born_precision == "unknown":
        return None
    if animal.born_precision == "year":
        return animal.born_on.replace(month=1, day=1)
    return animal.born_on.replace(day=1) if animal.born_precision == "month" else animal.born_on


def _look_at_holds(one: Verdict, plan: Plan) -> None:
    last = latest_end(one.holds)
    if last is None:
        return
    if last.free_on is None:
        said = f"Not known to be free of {last.product}, given {last.given_on}: no withdrawal days were entered."
    else:
        said = f"In withdrawal of {last.product}, free from {last.free_on}."
    if plan.journey is Journey.SLAUGHTER:
        one.stops.append(said)
    else:
        one.looks.append(f"{said} The buyer has to know.")


def sex_of(animal_class: str) -> str:
    """The sex as a certificate asks for it; empty where the class is not known."""
    males = {AnimalClass.BULL: "male", AnimalClass.STEER: "castrated male"}
    females = {AnimalClass.COW: "female", AnimalClass.HEIFER: "female"}
    return {str(key): word for key, word in {**males, **females}.items()}.get(animal_class, "")
