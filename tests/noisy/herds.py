"""The herd that a noisy day starts from: animals, a batch for the record, the rows of a herd list."""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from uuid import UUID

from herd.registry.models import Group
from herd.registry.services.batch import Batch, Join, NewAnimal, NewEvent, NewPlace, PutOn
from herd.values.mass import NANOGRAMS, WeightUnit
from herd.values.yearletters import letter_for

GROUP, ELSEWHERE = "Upper Bench", "Mill Trap"
FIRST_EID = 840_270_000_100_000
LIST_HEADER = ("VID", "Tag color", "EID", "Class", "Born", "Group", "Status")


@dataclass(frozen=True, slots=True)
class Head:
    """One animal of the herd. `pounds` is what it weighed a year before the day, 0 for this year's calves."""

    id: UUID
    eid: str
    vid: str
    colour: str
    animal_class: str
    born_on: date
    pounds: int
    tag_year: int
    sold_on: date | None = None
    group: str = GROUP

    @property
    def is_grown(self) -> bool:
        """Whether its weight tells pounds from kilograms."""
        return self.animal_class == "cow"


def make_herd(chance: Random, head: int, worked_on: date) -> list[Head]:
    """Return `head` animals on hand and a few sold last year, whose visual numbers were partly used again."""
    year = worked_on.year
    vids = iter(chance.sample(range(101, 101 + 4 * head), head + head // 10 + 10))
    eid = FIRST_EID + chance.randrange(1_000_000)
    herd: list[Head] = []
    for number in range(head + max(4, head // 25)):
        eid += chance.choice((1, 1, 1, 2, 7))
        is_sold = number >= head
        kind = "cow" if is_sold else chance.choices(("cow", "heifer", "calf", "bull"), (75, 10, 12, 3))[0]
        vid, colour = _visual(chance, kind, next(vids), year)
        if any(one.vid == vid for one in herd):
            vid, colour = str(next(vids)), "yellow"
        tag_year = year - 9 if is_sold else year - {"cow": 3, "heifer": 1, "calf": 0, "bull": 2}[kind]
        herd.append(
            Head(
                id=UUID(int=chance.getrandbits(128), version=4),
                eid=str(eid),
                vid=vid,
                colour=colour,
                animal_class=chance.choice(("heifer", "bull", "steer")) if kind == "calf" else kind,
                born_on=_birth(chance, kind, year),
                pounds=_pounds(chance, kind),
                tag_year=tag_year,
                sold_on=date(year - 1, 11, 3) if is_sold else None,
                group=ELSEWHERE if chance.random() < 0.03 else GROUP,
            )
        )
    return _use_numbers_again(chance, herd, head)


def _use_numbers_again(chance: Random, herd: list[Head], head: int) -> list[Head]:
    """Give half of the cows sold last year the visual number of one on hand, issued years before."""
    cows = [one for one in herd[:head] if one.animal_class == "cow" and one.vid.isdigit()]
    taken = chance.sample(cows, min(len(cows), (len(herd) - head) // 2))
    sold = [
        Head(one.id, one.eid, new.vid, new.colour, "cow", one.born_on, one.pounds, 2009, one.sold_on)
        for one, new in zip(herd[head:], taken, strict=False)
    ]
    return [*herd[:head], *sold, *herd[head + len(sold) :]]


def _visual(chance: Random, kind: str, number: int, year: int) -> tuple[str, str]:
    if kind == "cow":
        dashed = f"{number % 12 + 1}-{number // 12 % 28 + 1}"
        return (dashed, "white") if chance.random() < 0.08 else (str(number), "yellow")
    if kind == "bull":
        return f"B{number}", "red"
    return f"{number}{letter_for(year - (kind == 'heifer'))}", "orange"


def _birth(chance: Random, kind: str, year: int) -> date:
    years = {"cow": chance.randrange(3, 11), "heifer": 1, "calf": 0, "bull": chance.randrange(4, 7)}[kind]
    return date(year - years, 2, 10) + timedelta(days=chance.randrange(60))


def _pounds(chance: Random, kind: str) -> int:
    low, high = {"cow": (1050, 1400), "heifer": (480, 600), "calf": (0, 0), "bull": (1700, 2000)}[kind]
    return chance.randint(low, high)


def batch_of(herd: list[Head], worked_on: date) -> Batch:
    """Return what registers the herd, a year before the day: animals, tags, groups, last weights, sales."""
    batch = Batch(places=[NewPlace(Group.SUBJECT, {"name": name}) for name in (GROUP, ELSEWHERE)])
    groups = {str(place.facts["name"]): place.id for place in batch.places}
    weighed_on = worked_on - timedelta(days=365)
    for one in herd:
        came_on = max(one.born_on, date(worked_on.year - 2, 1, 1))
        facts = {"entry_class": one.animal_class, "entered_on": came_on, "born_on": one.born_on}
        batch.animals.append(NewAnimal({**facts, "born_precision": "day"}, one.id))
        batch.put_on.append(PutOn(one.id, "eid", one.eid, worn_from=came_on))
        batch.put_on.append(PutOn(one.id, "vid", one.vid, one.colour, one.tag_year, came_on))
        batch.joins.append(Join(one.id, groups[one.group], came_on))
        if one.pounds:
            batch.events.append(
                NewEvent(
                    one.id,
                    "weight",
                    weighed_on,
                    {"weight": str(one.pounds), "unit": "lb"},
                    weight_ng=one.pounds * NANOGRAMS[WeightUnit.LB],
                )
            )
        if one.sold_on:
            batch.events.append(NewEvent(one.id, "sale", one.sold_on, {"buyer": "sale barn"}))
    return batch


def list_of(herd: list[Head]) -> list[list[str]]:
    """Return the herd as the rows of a herd list, its header first."""
    rows = [
        [one.vid, one.colour, one.eid, one.animal_class, one.born_on.isoformat(), one.group, _status(one)]
        for one in herd
    ]
    return [list(LIST_HEADER), *rows]


def _status(one: Head) -> str:
    return f"sold {one.sold_on}" if one.sold_on else "active"
