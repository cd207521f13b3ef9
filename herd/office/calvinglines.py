"""A run of calves as typed or pasted, one line each: what every line says, and what is wrong with it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.calvingcells import COLUMNS, ReadLine, read_line
from herd.office.naming import names_of
from herd.office.saying import say_day
from herd.office.today import today_of
from herd.registry.models import Animal, Event, GroupMembership, TagWearing
from herd.registry.queries.stays import open_stays
from herd.registry.queries.whose import Told, whose
from herd.registry.services.runs import Birth
from herd.values.calendardays import DayOrder
from herd.values.mass import WeightUnit

MOST_LINES = 500
NO_DAMS = frozenset({"bull", "steer"})
NO_SIRES = frozenset({"cow", "heifer"})


@dataclass(slots=True)
class CalvingLine:
    """One line with its reading beside it; `faults` keep it from being written, `cautions` only ask for a look."""

    number: int
    read: ReadLine
    faults: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    dam: Animal | None = None
    dam_name: str = ""
    sire_id: UUID | None = None
    joins: tuple[UUID, date] | None = None

    @property
    def birth(self) -> Birth:
        """The line as the registry takes it; only for lines without a fault."""
        read = self.read
        assert self.dam is not None and read.born_on is not None  # noqa: PT018, S101
        return Birth(
            self.dam.pk,
            read.born_on,
            read.is_alive,
            {"entry_class": read.animal_class, "sire_id": self.sire_id},
            read.tags,
            read.weight,
            {"ease": read.ease} if read.ease else {},
            self.joins,
        )


@dataclass(frozen=True, slots=True)
class Writing:
    """How the lines are written: the unit of weights, the order of day and month, the day where none is given."""

    unit: WeightUnit
    order: DayOrder
    today: date
    born_on: date | None = None


def read_lines(outfit: Outfit, text: str, writing: Writing) -> list[CalvingLine]:
    """Read every line, in a bounded number of queries; a line of column names and empty lines are passed over."""
    given = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    lines = []
    for number, line in given:
        read = read_line(line, writing.unit, writing.order, writing.today)
        if not (number == given[0][0] and read.is_heading):
            read.born_on = read.born_on or (None if read.cells["born"] else writing.born_on)
            if read.born_on is None and not read.cells["born"]:
                read.faults.append("The day of birth is missing.")
            lines.append(CalvingLine(number, read, list(read.faults), list(read.cautions)))
    _find_parents(outfit, lines)
    _check_tags(outfit, lines)
    _check_calvings(outfit, lines)
    return lines


def _find_parents(outfit: Outfit, lines: Sequence[CalvingLine]) -> None:
    asked = list(dict.fromkeys(line.read.cells[key] for line in lines for key in ("dam", "sire")))
    texts = [text for text in asked if text]
    found = {one.text: one for one in whose(outfit, texts, today_of(outfit))}
    ids = {one.animal_id for one in found.values() if one.animal_id}
    animals = Animal.objects.of(outfit).in_bulk(ids)
    names = names_of(outfit, ids)
    stays = open_stays(outfit, ids)
    for line in lines:
        line.dam = _parent(line, "dam", found, animals, NO_DAMS)
        sire = _parent(line, "sire", found, animals, NO_SIRES)
        line.sire_id = sire.pk if sire else None
        if line.dam is not None:
            line.dam_name = names[str(line.dam.pk)]
            _check_dam(line, line.dam, stays)


def _parent(
    line: CalvingLine, key: str, found: dict[str, Told], animals: dict[UUID, Animal], wrong: frozenset[str]
) -> Animal | None:
    text = line.read.cells[key]
    if not text:
        return None
    one = found[text]
    animal = animals.get(one.animal_id) if one.animal_id else None
    if animal is None:
        line.faults.append(f"{key.capitalize()} {text}: {one.reason}")
    elif (animal.entry_class or animal.animal_class) in wrong:
        line.faults.append(f"{text} is a {animal.animal_class}, so it can’t be a {key}.")
        return None
    return animal


def _check_dam(line: CalvingLine, dam: Animal, stays: dict[UUID, GroupMembership]) -> None:
    born, stay = line.read.born_on, stays.get(dam.pk)
    if born is None:
        return
    if not dam.is_on_hand and dam.status_since and born > dam.status_since:
        line.faults.append(f"The dam is {dam.get_status_display()} since {say_day(dam.status_since)}.")
    if dam.born_on and dam.born_on >= born:
        line.faults.append(f"The dam was born on {say_day(dam.born_on)}, not before the calf.")
    if stay is not None:
        line.joins = (stay.group_id, max(born, stay.joined_on))


def _check_tags(outfit: Outfit, lines: Sequence[CalvingLine]) -> None:
    """Say which tags are on an animal already, or stand in the list twice."""
    wanted = [_key(tag) for line in lines for tag in line.read.tags]
    worn = worn_keys(outfit, [key[1] for key in wanted])
    times = Counter(wanted)
    for line in lines:
        for key in map(_key, line.read.tags):
            if key in worn:
                line.faults.append(f"{key[1]} is on an animal already.")
            elif times[key] > 1:
                line.faults.append(f"{key[1]} stands in {times[key]} lines.")


def worn_keys(outfit: Outfit, numbers: Sequence[str]) -> set[tuple[str, str, str, int]]:
    """Kind, number, colour and year of the tags among these numbers that are on an animal now."""
    found: set[tuple[str, str, str, int]] = set()
    for some in in_steps(dict.fromkeys(numbers)):
        rows = TagWearing.objects.of(outfit).filter(tag__outfit=outfit, tag__number__in=some, ended="")
        found.update(rows.values_list("kind", "tag__number", "tag__colour", "tag__issuer_year"))
    return found


def _key(tag: dict[str, Any]) -> tuple[str, str, str, int]:
    return tag["kind"], tag["number"], tag.get("colour", ""), tag.get("issuer_year", 0)


def _check_calvings(outfit: Outfit, lines: Sequence[CalvingLine]) -> None:
    """A dead calf wears no tag that would show a list sent twice, so a calving of that day stops its line."""
    dams = {line.dam.pk for line in lines if line.dam is not None}
    known: set[tuple[UUID, date | None]] = set()
    for some in in_steps(dams):
        rows = Event.objects.of(outfit).filter(animal__in=some, kind="calving")
        known.update(rows.values_list("animal_id", "happened_on"))
    for line in lines:
        if line.dam is None or line.read.born_on is None or (line.dam.pk, line.read.born_on) not in known:
            continue
        said = f"{line.dam_name} has a calving on {say_day(line.read.born_on)} in the record already."
        if line.read.is_alive:
            line.cautions.append(f"{said} Is this a twin?")
        else:
            line.faults.append(f"{said} Record a dead twin from her own page.")


EXAMPLE = "\n".join(
    (
        "\t".join(COLUMNS),
        "417 yellow\t88 green\theifer\t2026-03-14\t78\t5 orange\t1\tlive",
        "12\t89 green\tbull\t2026-03-15\t84\t\t2\tlive",
        "12\t\t\t2026-03-15\t\t\t4\tdead",
    )
)
