"""The columns of the herd list, declared once: what each shows on the page and puts into a file."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.rows import in_steps
from herd.office.naming import names_of
from herd.office.saying import say_age, say_class, say_day, weight_in
from herd.office.tables import Cell
from herd.registry.models import Animal, Event
from herd.registry.queries.tags import Worn, worn_by
from herd.registry.queries.withdrawal import withdrawals
from herd.values.eventkinds import EVENT_KINDS
from herd.values.withdrawal import Withdrawal, latest_end

LAST_EVENTS = 3


@dataclass(slots=True)
class Line:
    """One animal of the list with what its columns need; what no column asks for stays empty."""

    animal: Animal
    worn: Worn
    outfit: Outfit
    today: date
    weighed: Event | None = None
    events: list[tuple[str, date]] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    holds: list[Withdrawal] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, its cell, the sort that it answers to, and how the page sets it."""

    label: str
    cell: Callable[[Line], Cell]
    sort: str = ""
    look: str = ""
    needs: str = ""


@dataclass(frozen=True, slots=True)
class Shown:
    """A cell on the page: its heading, its value, how it is set."""

    label: str
    value: Cell
    look: str


def _weight(line: Line) -> Cell:
    return weight_in(line.weighed.weight_ng, line.outfit.unit) if line.weighed and line.weighed.weight_ng else None


def _events(line: Line) -> str:
    return "; ".join(f"{EVENT_KINDS[kind].label} {day:%Y-%m-%d}" for kind, day in line.events)


def _age(line: Line) -> str:
    animal = line.animal
    return say_age(animal.born_on, animal.born_precision, line.today) if animal.born_on else ""


def _birth(line: Line) -> str:
    return say_day(line.animal.born_on, line.animal.born_precision) if line.animal.born_on else ""


def _free(line: Line) -> str:
    """The day on which the last hold ends, as entered; the label and the veterinarian decide."""
    end = latest_end(line.holds)
    if end is None:
        return ""
    return f"{end.free_on:%Y-%m-%d}" if end.free_on else "not known to be clear"


COLUMNS: dict[str, Column] = {
    "vid": Column("Visual tag", lambda line: " ".join(filter(None, [line.worn.vid, line.worn.vid_colour])), "vid"),
    "eid": Column("EID", lambda line: line.worn.eid, "eid", "eid"),
    "others": Column("Other tags", lambda line: ", ".join(line.worn.others)),
    "class": Column("Class", lambda line: say_class(line.animal, line.today), "class"),
    "age": Column("Age", _age, "born"),
    "birth": Column("Birth", _birth),
    "group": Column("Group", lambda line: str(line.animal.group or ""), "group"),
    "location": Column("Location", lambda line: str(line.animal.location or "")),
    "status": Column("Status", lambda line: line.animal.get_status_display(), look="status"),
    "since": Column("Status since", lambda line: line.animal.status_since, "since", "day"),
    "weight": Column("Last weight", _weight, "weight", "num", "weighed"),
    "weighed": Column(
        "Weighed on", lambda line: line.weighed.happened_on if line.weighed else None, look="day", needs="weighed"
    ),
    "events": Column("Last events", _events, needs="events"),
    "dam": Column("Dam", lambda line: line.names.get(str(line.animal.dam_id), ""), needs="names"),
    "sire": Column("Sire", lambda line: line.names.get(str(line.animal.sire_id), ""), needs="names"),
    "free": Column("Free of withdrawal on", _free, needs="holds"),
    "breed": Column("Breed", lambda line: line.animal.breed),
    "coat": Column("Coat", lambda line: line.animal.coat),
    "origin": Column("Origin", lambda line: line.animal.origin),
}
STANDARD = ("vid", "eid", "class", "age", "group", "weight", "weighed")


def headings(keys: Iterable[str], outfit: Outfit) -> list[str]:
    """The headings for a file; a weight says its unit."""
    return [f"{COLUMNS[key].label}, {outfit.unit.value}" if key == "weight" else COLUMNS[key].label for key in keys]


def cells_of(line: Line, keys: Iterable[str]) -> list[Cell]:
    """A line as a file takes it."""
    return [COLUMNS[key].cell(line) for key in keys]


def shown(line: Line, keys: Iterable[str]) -> list[Shown]:
    """A line as the page shows it."""
    return [Shown(COLUMNS[key].label, COLUMNS[key].cell(line), COLUMNS[key].look) for key in keys]


def lines_of(outfit: Outfit, ids: Sequence[UUID], keys: Sequence[str], today: date) -> Iterator[Line]:
    """The animals with what the columns need, in a bounded number of queries for some hundreds at a time."""
    needs = {COLUMNS[key].needs for key in keys}
    for some in in_steps(ids):
        animals = Animal.objects.of(outfit).select_related("group", "location").in_bulk(some)
        worn = worn_by(outfit, some)
        weighed = _last_weighings(outfit, some) if "weighed" in needs else {}
        events = _last_events(outfit, some) if "events" in needs else {}
        parents = {parent for one in animals.values() for parent in (one.dam_id, one.sire_id) if parent}
        names = names_of(outfit, parents) if "names" in needs else {}
        holds = withdrawals(outfit, some, today) if "holds" in needs else {}
        for key in some:
            if key in animals:
                yield Line(
                    animals[key],
                    worn[key],
                    outfit,
                    today,
                    weighed=weighed.get(key),
                    events=events.get(key, []),
                    names=names,
                    holds=holds.get(key, []),
                )


def _last_weighings(outfit: Outfit, ids: Sequence[UUID]) -> dict[UUID, Event]:
    rows = Event.objects.of(outfit).filter(animal__in=ids, kind="weight", weight_ng__isnull=False)
    dated = rows.filter(happened_on__isnull=False).order_by("happened_on", "pk")
    return {event.animal_id: event for event in dated.only("animal_id", "happened_on", "weight_ng", "precision")}


def _last_events(outfit: Outfit, ids: Sequence[UUID]) -> dict[UUID, list[tuple[str, date]]]:
    """The last few days' events of each animal, a kind once, the latest first."""
    rows = Event.objects.of(outfit).filter(animal__in=ids, happened_on__isnull=False)
    found: dict[UUID, dict[str, date]] = {}
    newest: Any = rows.order_by("-happened_on", "-pk").values_list("animal_id", "kind", "happened_on")
    for animal_id, kind, day in newest:
        mine = found.setdefault(animal_id, {})
        if len(mine) < LAST_EVENTS:
            mine.setdefault(kind, day)
    return {animal_id: list(kinds.items()) for animal_id, kinds in found.items()}
