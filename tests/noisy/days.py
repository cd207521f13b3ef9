"""Makes a processing day: a herd, the files of its chute with their faults, what is true of every line."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random
from typing import Any
from uuid import UUID

from herd.registry.services.batch import Batch
from herd.values.mass import Weight, WeightUnit
from tests.noisy.faults import spoil
from tests.noisy.herds import GROUP, Head, batch_of, list_of, make_herd
from tests.noisy.kinds import HARMLESS, Fault
from tests.noisy.sheets import Line, Sheet, day_text, header_of, shape, written
from tests.noisy.spoiling import Spoiling

TEXTS = ("csv", "tsv", "semicolon", "pipe")
NOTES = ("limps", "señora's old brand", "wild, watch the gate", "one horn", "bad udder")
POUNDS = {"cow": (1020, 1430), "heifer": (760, 980), "calf": (430, 640), "bull": (1750, 2150)}


@dataclass(frozen=True, slots=True)
class NoisyFile:
    """A file as it came from the chute."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class TrueLine:
    """What is true of one line, counted from 1 in the file as it is.

    `animal_id` is None for an animal that the record does not know. `values` holds what the line says that is
    true: weight (nanograms), pregnancy, days, bcs, tube.
    """

    file: str
    line: int
    animal_id: UUID | None
    values: Mapping[str, Any]
    faults: frozenset[Fault]

    @property
    def is_plain(self) -> bool:
        """Whether a reader with care knows whose it is and what it says."""
        return self.animal_id is not None and self.faults <= HARMLESS


@dataclass(frozen=True, slots=True)
class NoisyDay:
    """A processing day with the truth about it. `world` is what is true of each animal that day."""

    seed: int
    worked_on: date
    group: str
    herd: tuple[Head, ...]
    herd_rows: list[list[str]]
    batch: Batch
    files: tuple[NoisyFile, ...]
    lines: tuple[TrueLine, ...]
    loose_lines: frozenset[tuple[str, int]]
    world: Mapping[UUID, Mapping[str, Any]]


@dataclass(slots=True)
class _Chute:
    """The day itself: who came through when, with which EID on, and what was found."""

    chance: Random
    worked_on: date
    order: list[Head]
    minute: dict[UUID, datetime]
    eids: dict[UUID, str]
    strangers: set[UUID]
    world: dict[UUID, dict[str, Any]]


def make_day(seed: int, head: int = 200, faults: float = 0.05) -> NoisyDay:
    """Make a day of `head` animals with this share of spoiled lines; the same for the same arguments."""
    chance = Random(seed)
    worked_on = date(2025, 10, 1) + timedelta(days=chance.randrange(24))
    herd = make_herd(chance, head, worked_on)
    chute = _work(chance, herd, worked_on, odd=round(head * faults / 8) if faults else 0)
    sheets = _sheets(chute, faults)
    files, lines, loose = [], [], set()
    for sheet in sheets:
        spoil(Spoiling(chance, sheet, herd, chute.world, worked_on), faults)
        if not faults:
            sheet.footer, sheet.blank_lines = "", 0
        content, numbers, footers = written(sheet, header_of(sheet, chance))
        files.append(NoisyFile(sheet.name, content))
        loose |= {(sheet.name, number) for number in footers}
        lines += [_true(chute, sheet, *pair) for pair in zip(sheet.lines, numbers, strict=True)]
    return NoisyDay(
        seed=seed,
        worked_on=worked_on,
        group=GROUP,
        herd=tuple(herd),
        herd_rows=list_of(herd),
        batch=batch_of(herd, worked_on),
        files=tuple(files),
        lines=tuple(lines),
        loose_lines=frozenset(loose),
        world={key: _facts(true) for key, true in chute.world.items() if key not in chute.strangers},
    )


def _true(chute: _Chute, sheet: Sheet, line: Line, number: int) -> TrueLine:
    known = line.head is not None and line.head.id not in chute.strangers
    return TrueLine(
        file=sheet.name,
        line=number,
        animal_id=line.head.id if known and line.head else None,
        values=_facts(line.true),
        faults=frozenset(line.faults),
    )


def _facts(true: Mapping[str, Any]) -> dict[str, Any]:
    facts = dict(true)
    if "weight" in facts:
        entered, unit = facts["weight"]
        facts["weight"] = Weight(Decimal(entered), WeightUnit(unit)).nanograms
    return facts


def _work(chance: Random, herd: list[Head], worked_on: date, odd: int) -> _Chute:
    """Drive the group through: a few stay away, `odd` each are strangers, were sold, or lost their tag."""
    present = [one for one in herd if one.sold_on is None and one.group == GROUP and chance.random() < 0.98]
    lost = chance.sample([one for one in present if one.animal_class == "cow"], odd)
    sold = chance.sample([one for one in herd if one.sold_on], odd)
    strangers = [_stranger(chance, number, worked_on) for number in range(odd)]
    order = [*present, *sold, *strangers]
    chance.shuffle(order)
    start = datetime(worked_on.year, worked_on.month, worked_on.day, 7, 2)  # noqa: DTZ001
    minute = {}
    for one in order:
        start += timedelta(seconds=chance.randrange(35, 95))
        minute[one.id] = start
    eids = {one.id: one.eid for one in order}
    eids.update({one.id: str(840_270_009_000_000 + chance.randrange(900_000)) for one in lost})
    chute = _Chute(chance, worked_on, order, minute, eids, {one.id for one in strangers}, {})
    chute.world = {one.id: _findings(chance, one, place) for place, one in enumerate(order)}
    return chute


def _stranger(chance: Random, number: int, worked_on: date) -> Head:
    eid = str(840_270_008_000_000 + chance.randrange(900_000))
    born_on = date(worked_on.year - 4, 3, 3)
    key = UUID(int=chance.getrandbits(128), version=4)
    return Head(key, eid, f"X{70 + number}", "green", "cow", born_on, 1150, 0)


def _findings(chance: Random, one: Head, place: int) -> dict[str, Any]:
    """What the crew finds on an animal; weights come later, in the unit of the scale."""
    found: dict[str, Any] = {
        "tube": f"NB{100_000 + place}",
        "bcs": str(chance.choice((4, 4.5, 5, 5, 5.5, 6))),
    }
    if one.animal_class == "cow" or (one.animal_class == "heifer" and one.pounds):
        is_bred = chance.random() < 0.9
        found["pregnancy"] = "pregnant" if is_bred else "open"
        if is_bred:
            found["days"] = chance.randrange(70, 175)
    return found


def _sheets(chute: _Chute, faults: float) -> list[Sheet]:
    """Choose the files: always a reader's, a scale's, a phone's and a vet's, often a list as well."""
    chance = chute.chance
    reader = _sheet(chute, shape(chance, "reader", ["eid", "date", "time"], TEXTS), 1.0)
    has_numbers = chance.random() < 0.85 or not faults
    scale = _scale(chute, has_numbers=has_numbers)
    phone_columns = ["vid", "colour", "tube", "note", "time"] + ["eid"] * (chance.random() < 0.6)
    phone = _sheet(chute, shape(chance, "phone", phone_columns, (*TEXTS, "xlsx")), 0.97)
    vet = _sheet(chute, shape(chance, "vet", ["vid", "pregnancy", "days", "bcs", "date"], (*TEXTS, "xlsx")), 1)
    vet.preamble, vet.footer = ["Pregnancy check at Upper Bench"], "Total head"
    vet.lines = [line for line in vet.lines if line.cells["pregnancy"]]
    typed = _sheet(chute, shape(chance, "typed", [chance.choice(("eid", "vid"))], ("list",)), 0.3)
    return [reader, scale, phone, vet] + [typed] * (chance.random() < 0.5)


def _sheet(chute: _Chute, sheet: Sheet, share: float) -> Sheet:
    """Write a line for this share of those who came through."""
    for one in chute.order:
        if chute.chance.random() < share:
            sheet.lines.append(_line(chute, sheet, one))
    return sheet


def _scale(chute: _Chute, *, has_numbers: bool) -> Sheet:
    columns = ["weight", "time"] + ["eid"] * has_numbers
    sheet = shape(chute.chance, "scale", columns, (*TEXTS, "xlsx"))
    for one in chute.order:
        kind = one.animal_class if one.pounds else "calf"
        pounds = Decimal(chute.chance.randrange(*POUNDS[kind])) + chute.chance.choice((0, 0, Decimal("0.5")))
        figure = pounds if sheet.unit == "lb" else round(pounds * Decimal("0.4536") * 2) / Decimal(2)
        chute.world[one.id]["weight"] = (str(figure), sheet.unit)
    _sheet(chute, sheet, 1.0 if not has_numbers else 0.98)
    if not has_numbers:
        for line in sheet.lines:
            line.faults.add(Fault.NUMBERLESS)
    return sheet


def _line(chute: _Chute, sheet: Sheet, one: Head) -> Line:
    chance, true = chute.chance, chute.world[one.id]
    cells = {
        "eid": chute.eids[one.id],
        "vid": one.vid,
        "colour": one.colour,
        "date": day_text(sheet, chute.worked_on),
        "time": f"{chute.minute[one.id]:%H:%M:%S}",
        "weight": true.get("weight", ("", ""))[0],
        "pregnancy": {"pregnant": "P", "open": "O"}.get(true.get("pregnancy", ""), ""),
        "days": str(true.get("days", "")),
        "bcs": true["bcs"],
        "tube": true["tube"],
        "note": chance.choice(NOTES) if chance.random() < 0.06 else "",
    }
    line = Line(
        head=one,
        cells={column: cells[column] for column in sheet.columns},
        true={column: true[column] for column in sheet.columns if column in true},
    )
    line.faults = _from_the_start(chute, sheet, one)
    return line


def _from_the_start(chute: _Chute, sheet: Sheet, one: Head) -> set[Fault]:
    if one.id in chute.strangers:
        return {Fault.UNKNOWN_ANIMAL}
    if one.sold_on:
        return {Fault.SOLD_ANIMAL}
    if chute.eids[one.id] != one.eid and sheet.has("eid"):
        return {Fault.LOST_TAG}
    return set()
