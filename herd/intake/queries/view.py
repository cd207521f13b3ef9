"""Loads the record as far as a processing day concerns it, in a fixed number of kinds of query."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.intake.matching.numbers import Row, tube_of
from herd.intake.matching.view import Card, View, Worn
from herd.intake.models import ProcessingDay
from herd.ledger.rows import in_steps, read_rows
from herd.registry.models import Animal, Event, Group, TagKind, TagWearing, WearingEnded
from herd.registry.queries.headcount import members_on
from herd.values.nearness import near_numbers

# Beyond this many unknown numbers of one kind a day is no herd's working but another herd's list.
MOST_NEAR = 3_000

FACTS = (
    "entry_class",
    "breed",
    "coat",
    "origin",
    "dam_id",
    "sire_id",
    "entered_on",
    "born_on",
    "born_precision",
)


def load_view(day: ProcessingDay, rows: Iterable[Row]) -> View:
    """Return who wears and wore the numbers of these rows, near ones for those nobody wears, and the group."""
    outfit = day.outfit
    view = View(day.worked_on, day.group_id, makes_animals=day.makes_animals)
    if day.group_id:
        view.group_name = Group.objects.get(pk=day.group_id).name
        view.expected = frozenset(members_on(outfit, day.group_id, day.worked_on))
    numbers = _numbers(rows)
    _load_wearers(outfit, view, {number for kind in numbers.values() for number in kind})
    if not view.makes_animals:
        _load_near(outfit, view, numbers)
    _load_tubes(outfit, view, {tube for row in rows if (tube := tube_of(row.readings))})
    animals = {one.animal_id for found in view.near.values() for one in found}
    written = {row.applied_to for row in rows if row.applied_to}
    written |= {UUID(row.readings["animal"]) for row in rows if row.readings.get("animal")}
    load_cards(outfit, view, animals | written | _named(rows) | set(view.tubes.values()) | view.expected)
    return view


def _named(rows: Iterable[Row]) -> set[UUID]:
    """The animals of the record that rows from a record kept elsewhere name as parents or in their events."""
    named = (
        called
        for row in rows
        for called in (
            *row.readings.get("told", {}).get("animals", {}).values(),
            *(row.readings[key]["number"] for key in ("dam", "sire") if key in row.readings),
        )
        if called.startswith("animal ")
    )
    return {UUID(one.removeprefix("animal ")) for one in named}


def load_cards(outfit: Outfit, view: View, animal_ids: Iterable[UUID]) -> None:
    """Add the cards of these animals with all their tags."""
    wanted = [key for key in animal_ids if key not in view.cards]
    columns = ("id", "animal_class", "status", "status_since", "group_id", *FACTS)
    for ids in in_steps(wanted):
        for key, *now in read_rows(Animal.objects.of(outfit).filter(pk__in=ids).values_list(*columns)):
            facts = dict(zip(FACTS, now[-len(FACTS) :], strict=True))
            animal_class, status, since, group, *_ = now
            born_on, precision = facts["born_on"], facts["born_precision"]
            view.cards[key] = Card(key, animal_class, status, since, group, born_on, precision, facts)
        for worn in _wearings(outfit, animal__in=ids):
            if worn.animal_id in view.cards:
                view.cards[worn.animal_id].worn.append(worn)


def _numbers(rows: Iterable[Row]) -> dict[str, set[str]]:
    numbers: dict[str, set[str]] = {TagKind.EID: set(), TagKind.VID: set()}
    for row in rows:
        mine = row.numbers
        pairs = [(TagKind.EID, mine.eid), (TagKind.VID, mine.vid), *mine.others]
        pairs += [
            (TagKind.EID, row.readings.get("new_eid", "")),
            (TagKind.VID, row.readings.get("new_vid", "")),
        ]
        for relative in ("dam", "sire", "calf"):
            named = row.readings.get(relative)
            if named:
                pairs.append((named["kind"], named["number"]))
        for kind, number in pairs:
            if number:
                numbers.setdefault(kind, set()).add(number)
    return numbers


def _rows(outfit: Outfit, **where: Any) -> Any:
    rows = TagWearing.objects.of(outfit).filter(animal__is_void=False, **where)
    return rows.exclude(ended=WearingEnded.DATA_ERROR)


def _wearings(outfit: Outfit, **where: Any) -> Iterator[Worn]:
    rows = _rows(outfit, **where).order_by("worn_from", "id")
    columns = ("id", "animal_id", "kind", "tag__number", "tag__colour", "ended", "worn_to", "worn_from")
    for key, animal_id, kind, number, colour, ended, worn_to, worn_from in read_rows(rows.values_list(*columns)):
        yield Worn(key, animal_id, kind, number, colour, not ended, ended, worn_to, worn_from)


def _load_wearers(outfit: Outfit, view: View, numbers: set[str]) -> None:
    """Load the cards of all who wear or wore these numbers, and who that is of each."""
    wearers: set[UUID] = set()
    for some in in_steps(numbers):
        rows = _rows(outfit, tag__outfit=outfit, tag__number__in=some)
        wearers.update(key for (key,) in read_rows(rows.order_by().values_list("animal_id")))
    load_cards(outfit, view, wearers)
    for card in view.cards.values():
        for worn in card.worn:
            if worn.number in numbers:
                view.by_number[(worn.kind, worn.number)].append(worn)
    for found in view.by_number.values():
        if len(found) > 1:
            found.sort(key=lambda one: (one.worn_from or date.min, one.id))


def _load_near(outfit: Outfit, view: View, numbers: dict[str, set[str]]) -> None:
    """For EIDs and visual tags on no animal, load who wears a number one slip away."""
    for kind in (TagKind.EID, TagKind.VID):
        unknown = [one for one in sorted(numbers[kind]) if not view.by_number.get((kind, one))][:MOST_NEAR]
        origin: dict[str, list[str]] = {}
        for number in unknown:
            for near in near_numbers(number):
                origin.setdefault(near, []).append(number)
        for some in in_steps(origin):
            for worn in _wearings(outfit, tag__outfit=outfit, tag__number__in=some, kind=kind, ended=""):
                for number in origin[worn.number]:
                    view.near[(kind, number)].append(worn)


def _load_tubes(outfit: Outfit, view: View, tubes: Iterable[str]) -> None:
    for some in in_steps(tubes):
        rows = Event.objects.of(outfit).filter(Q(kind="sample"), tube__in=some)
        view.tubes.update(rows.values_list("tube", "animal_id"))
