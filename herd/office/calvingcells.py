"""The cells of one line of a calving list, read into values."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from herd.office.saying import say_weight
from herd.registry.models import TagKind
from herd.values.calendardays import DayOrder
from herd.values.cells import fold
from herd.values.classes import AnimalClass, Sex, read_class
from herd.values.electronic import might_be_electronic, read_electronic
from herd.values.fielddates import DatePrecision, read_date
from herd.values.mass import Weight, WeightUnit
from herd.values.plausibility import plausible_range
from herd.values.problems import Unreadable
from herd.values.visual import read_visual
from herd.values.weights import read_weight

COLUMNS = ("dam", "calf tag", "sex", "born", "birth weight", "sire", "ease", "live or dead")
KEYS = ("dam", "tags", "sex", "born", "weight", "sire", "ease", "outcome")
DEAD = frozenset({"dead", "d", "died", "stillborn", "born dead", "tot", "muerto", "mort"})
ALIVE = frozenset({"", "live", "alive", "l", "living"})
# A plus between two tags, not the one in a number that a spreadsheet wrote as 8.4E+14.
BETWEEN_TAGS = re.compile(r"\s\+|(?<![eE])\+")
EASES = frozenset({"1", "2", "3", "4", "5"})


@dataclass(slots=True)
class ReadLine:
    """What a line says; `faults` are sentences on what can't be read."""

    text: str
    cells: dict[str, str]
    is_heading: bool = False
    tags: list[dict[str, Any]] = field(default_factory=list)
    animal_class: str = ""
    born_on: date | None = None
    weight: Weight | None = None
    ease: str = ""
    is_alive: bool = True
    faults: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)


def read_line(text: str, unit: WeightUnit, order: DayOrder, today: date) -> ReadLine:
    """Read a line of tabs, semicolons or commas, in the order of COLUMNS; what is missing at its end is empty."""
    parts = [part.strip() for part in re.split(_mark_of(text), text.strip("\r\n"))]
    cells = dict(zip(KEYS, [*parts, *[""] * len(KEYS)], strict=False))
    read = ReadLine(text, cells, is_heading=fold(cells["dam"]) in {"dam", "cow", "mother"})
    if any(parts[len(KEYS) :]):
        read.faults.append(f"The line has more than {len(KEYS)} columns.")
    if not cells["dam"]:
        read.faults.append("The dam’s number is missing.")
    for reader in (_read_outcome, _read_sex, _read_ease):
        _try(read, lambda reader=reader: reader(read))  # type: ignore[misc]
    _try(read, lambda: _read_tags(read))
    _try(read, lambda: _read_born(read, order, today))
    _try(read, lambda: _read_weight(read, unit))
    return read


def _mark_of(text: str) -> str:
    return next((mark for mark in ("\t", ";") if mark in text), ",")


def _try(read: ReadLine, reader: Callable[[], None]) -> None:
    try:
        reader()
    except Unreadable as problem:
        read.faults.append(problem.reason)


def _read_outcome(read: ReadLine) -> None:
    word = fold(read.cells["outcome"])
    read.is_alive = word not in DEAD
    if word not in DEAD | ALIVE:
        read.faults.append(f"“{read.cells['outcome']}” is neither live nor dead.")


def _read_sex(read: ReadLine) -> None:
    if not read.cells["sex"]:
        return
    said = read_class(read.cells["sex"])
    if said.animal_class is AnimalClass.COW:
        read.faults.append("A calf is no cow; write heifer, bull or steer.")
    elif said.animal_class is not None:
        read.animal_class = said.animal_class.value
    elif said.sex is not None:
        read.animal_class = "heifer" if said.sex is Sex.FEMALE else "bull"


def _read_ease(read: ReadLine) -> None:
    # Calving ease runs from 1 (no help) to 5 (Beef Improvement Federation, from memory).
    ease = read.cells["ease"]
    if ease and ease not in EASES:
        read.faults.append("Calving ease is a whole number from 1 (no help) to 5.")
    else:
        read.ease = ease


def _read_tags(read: ReadLine) -> None:
    numbers = [number.strip() for number in BETWEEN_TAGS.split(read.cells["tags"]) if number.strip()]
    if read.is_alive and not numbers:
        read.faults.append("A live calf needs a tag, or nobody could find it again.")
    if not read.is_alive and numbers:
        read.faults.append("A dead calf is kept as its dam’s calving, without a tag; leave the tag out.")
    for number in numbers:
        if might_be_electronic(number):
            read.tags.append({"kind": TagKind.EID.value, "number": read_electronic(number).number.digits})
        else:
            visual = read_visual(number)
            read.tags.append({"kind": TagKind.VID.value, "number": visual.number, "colour": visual.colour})
    kinds = [tag["kind"] for tag in read.tags]
    if kinds.count(TagKind.EID) > 1:
        read.faults.append("A calf wears one EID; put on a second from its own page, with the reason.")


def _read_born(read: ReadLine, order: DayOrder, today: date) -> None:
    if not read.cells["born"]:
        return
    day = read_date(read.cells["born"], order, today=today)
    if day.precision not in (DatePrecision.DAY, DatePrecision.INSTANT):
        read.faults.append(f"“{read.cells['born']}” names no whole day.")
    elif day.day > today:
        read.faults.append(f"The birth on {day.day} lies in the future.")
    else:
        read.born_on = day.day


def _read_weight(read: ReadLine, unit: WeightUnit) -> None:
    if not read.cells["weight"]:
        return
    if not read.is_alive:
        read.cautions.append("The weight of a dead calf is not kept.")
        return
    read.weight = read_weight(read.cells["weight"], unit).weight
    low, high = plausible_range("calf", 0)
    if not low.nanograms <= read.weight.nanograms <= high.nanograms:
        usual = f"{say_weight(low.nanograms, unit)} and {say_weight(high.nanograms, unit)}"
        read.cautions.append(f"A birth weight is mostly between {usual}; is it right?")
