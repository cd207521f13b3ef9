"""An animal's facts and tags for its page, each with the source it came from."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.models import Action, Change
from herd.office.saying import say_age, say_class, say_day, say_moment
from herd.registry.models import Animal, TagKind, TagWearing
from herd.registry.queries.history import AnimalHistory

SETTING = frozenset({Action.CREATED, Action.CHANGED})


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a fact comes from: file and line of a processing day, or who typed it and when."""

    words: str
    day_id: UUID | None


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact with its label, and its origin where it has one. `animal_id` makes it a link."""

    label: str
    value: str
    origin: Origin | None = None
    animal_id: UUID | None = None


def origin_of(change: Change | None, outfit: Outfit) -> Origin | None:
    """Say where a change came from."""
    if change is None:
        return None
    changeset = change.changeset
    who = changeset.person_name or "the installation"
    when = say_moment(changeset.recorded_at, outfit.zone)
    if change.source_file:
        line = f", line {change.source_line}" if change.source_line else ""
        return Origin(f"{change.source_file}{line}", changeset.day_id)
    return Origin(f"{who}, {when}", changeset.day_id)


def origins_by_column(changes: Iterable[Change], standing: set[UUID], animal_id: UUID) -> dict[str, Change]:
    """For each column of the animal, the last change that set it and stands; `changes` oldest first."""
    found: dict[str, Change] = {}
    for change in changes:
        stands = change.pk in standing and change.undoes is None
        if stands and change.subject_id == animal_id and change.action in SETTING:
            found.update(dict.fromkeys(change.after or {}, change))
    return found


def facts_of(
    history: AnimalHistory,
    outfit: Outfit,
    columns: Mapping[str, Change],
    names: Mapping[str, str],
    today: date,
) -> list[Fact]:
    """The facts table of the animal page; what is not known is left out."""
    animal = history.animal
    parents = [
        _fact(label, names.get(str(key), "") if key else "", origin_of(columns.get(column), outfit), key)
        for label, key, column in (("Dam", animal.dam_id, "dam_id"), ("Sire", animal.sire_id, "sire_id"))
    ]
    rows = [
        _fact("Class", say_class(animal, today), origin_of(columns.get("entry_class"), outfit)),
        _fact("Born", _born(animal, today), origin_of(columns.get("born_on"), outfit)),
        _fact("Breed", animal.breed, origin_of(columns.get("breed"), outfit)),
        _fact("Coat", animal.coat, origin_of(columns.get("coat"), outfit)),
        _fact("Origin", animal.origin, origin_of(columns.get("origin"), outfit)),
        *parents,
        _fact("In the herd since", say_day(animal.entered_on) if animal.entered_on else "", None),
        _fact("Location", animal.location.name if animal.location else "", None),
    ]
    return [row for row in rows if row.value]


def _fact(label: str, value: str, origin: Origin | None, animal_id: UUID | None = None) -> Fact:
    return Fact(label, value, origin if value else None, animal_id)


def _born(animal: Animal, today: date) -> str:
    if animal.born_on is None:
        return ""
    day = say_day(animal.born_on, animal.born_precision)
    return f"{day} ({say_age(animal.born_on, animal.born_precision, today)})" if animal.is_on_hand else day


def tags_by_age(wearings: Iterable[TagWearing]) -> tuple[list[TagWearing], list[TagWearing]]:
    """The tags worn now (visual first, then EID), and those worn before, newest first."""
    order = [TagKind.VID, TagKind.EID, TagKind.METAL, TagKind.TATTOO, TagKind.BRAND, TagKind.BACK]
    now = [one for one in wearings if one.is_open]
    before = [one for one in wearings if not one.is_open]
    now.sort(key=lambda one: (order.index(TagKind(one.kind)), one.is_second))
    before.sort(key=lambda one: (one.worn_to or date.min, one.pk), reverse=True)
    return now, before


def title_of(now: Iterable[TagWearing], before: Iterable[TagWearing]) -> Mapping[str, Any]:
    """What the page calls the animal: its visual tag or EID, else the last it wore."""
    for wearing in now:
        return {"kind": TagKind(wearing.kind).label, "name": wearing.tag, "was": False}
    for wearing in before:
        return {"kind": TagKind(wearing.kind).label, "name": wearing.tag, "was": True}
    return {"kind": "", "name": "Animal without a tag", "was": False}
