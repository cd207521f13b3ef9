"""What a merge does to each row: which animal it moves to, what ends, what counts once."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Q

from herd.accounts.models import Outfit
from herd.ledger.entry import TYPED, Source
from herd.ledger.models import Action, Change
from herd.registry.models import Event, Record
from herd.registry.queries.changes import facts_of
from herd.registry.queries.twofold import FACTS, Side, Twofold, sameness
from herd.registry.services.batch import Edit, RowEdit
from herd.values.eventkinds import EVENT_KINDS, LEAVING, STANDING_KINDS, FieldKind
from herd.values.life import LifeEvent, fold_life

# Kinds of event that name another animal, and the fields that do.
POINTING = {
    kind.key: [one.key for one in kind.fields if one.kind is FieldKind.ANIMAL]
    for kind in EVENT_KINDS.values()
    if any(one.kind is FieldKind.ANIMAL for one in kind.fields)
}
POINTERS = sorted({key for keys in POINTING.values() for key in keys})


STANDS = ("kept", "other", "both")


@dataclass(frozen=True, slots=True)
class MergeChoices:
    """What a person chose where the two records differ.

    `facts_of_other` names the facts (queries.twofold.FACTS) that are taken from the other; None takes those that
    are better known there. `eid` says whose EID stays on where both wear one: kept, other, or both with the reason
    for the second; the one that goes ends on the day `on`, for the reason `ended`. `group` says whose group stands.
    `apart` are events of the other that look like doubles but happened as well.
    """

    on: date
    facts_of_other: frozenset[str] | None = None
    eid: str = ""
    ended: str = "data_error"
    second_reason: str = ""
    group: str = ""
    apart: frozenset[UUID] = field(default_factory=frozenset)


@dataclass(slots=True)
class Move:
    """A row on its way: the columns that change, and whether it is taken out or brought back."""

    row: Record
    facts: dict[str, Any] = field(default_factory=dict)
    is_void: bool | None = None

    def edit(self, reason: str) -> RowEdit:
        """The row as the batch takes it."""
        return RowEdit(self.row.SUBJECT, self.row.pk, self.facts, reason, self.is_void)


def moved_wearings(both: Twofold, choices: MergeChoices) -> Iterator[Move]:
    """The other's tags; of two open EIDs one ends, or stays on as a second with its reason."""
    goes = None
    if both.has_two_eids and choices.eid != "both":
        goes = (both.other if choices.eid == "kept" else both.kept).open_eid
    end = {"worn_to": _not_before(choices.on, goes.worn_from), "ended": choices.ended} if goes else {}
    if goes is not None and goes.animal_id == both.kept.animal.pk:
        yield Move(goes, end)
    second = both.other.open_eid if both.has_two_eids and choices.eid == "both" else None
    for row in both.other.wearings:
        facts: dict[str, Any] = {"animal_id": both.kept.animal.pk}
        if goes is not None and row.pk == goes.pk:
            facts |= end
        if second is not None and row.pk == second.pk:
            facts |= {"is_second": True, "second_reason": choices.second_reason[:120]}
        yield Move(row, facts)


def _not_before(day: date, first: date | None) -> date:
    return max(day, first) if first else day


def moved_stays(both: Twofold, choices: MergeChoices) -> Iterator[Move]:
    """The other's memberships; of two open ones the later of one group counts once, else one gives way."""
    mine, its = both.kept.open_stay, both.other.open_stay
    twice = None
    if mine and its and mine.group_id == its.group_id:
        twice = max(mine, its, key=lambda stay: (stay.joined_on, stay.pk == its.pk))
    goes = None
    if mine and its and twice is None:
        goes, stands = (its, mine) if choices.group == "kept" else (mine, its)
        end = {"left_on": max(goes.joined_on, stands.joined_on)}
    if mine and twice is mine:
        yield Move(mine, is_void=True)
    if mine and goes is mine:
        yield Move(mine, end)
    for row in both.other.stays:
        if row is twice:
            yield Move(row, is_void=True)
        else:
            yield Move(row, {"animal_id": both.kept.animal.pk, **(end if row is goes else {})})


def moved_events(both: Twofold, choices: MergeChoices) -> Iterator[Move]:
    """The other's events; one that the kept record has as well counts once, unless it is said to stand apart."""
    doubles = {event.pk for _, event in both.doubles} - choices.apart
    for row in both.other.events:
        if row.pk in doubles:
            yield Move(row, is_void=True)
        else:
            yield Move(row, {"animal_id": both.kept.animal.pk})


def close_when_gone(both: Twofold, rows: list[Move]) -> list[Move]:
    """End the membership that would stay open where the two lives together end in a sale, death or loss."""
    by_row = {move.row.pk: move for move in rows}
    events = [one for one in (*both.kept.events, *both.other.events) if one.kind in STANDING_KINDS]
    life = [LifeEvent(one.kind, one.happened_on, one.pk) for one in events if not _is_out(by_row.get(one.pk))]
    standing = fold_life("", None, life, [])
    if standing.status not in LEAVING:
        return rows
    for stay in (*both.kept.stays, *both.other.stays):
        move = by_row.get(stay.pk) or Move(stay)
        if stay.left_on is None and "left_on" not in move.facts and not _is_out(move):
            move.facts["left_on"] = max(stay.joined_on, standing.since or stay.joined_on)
            if stay.pk not in by_row:
                rows.insert(0, move)
    return rows


def _is_out(move: Move | None) -> bool:
    return move is not None and move.is_void is True


def pointing_events(outfit: Outfit, both: Twofold, rows: list[Move]) -> list[Move]:
    """Add the events of any animal that name the other, such as its dam's calving; named twice, it counts once."""
    by_row = {move.row.pk: move for move in rows}
    old, new = str(both.other.animal.pk), str(both.kept.animal.pk)
    for event in events_naming(outfit, both.other.animal.pk):
        data = {key: new if value == old else value for key, value in event.data.items()}
        move = by_row.get(event.pk)
        if move is None:
            move = Move(event)
            rows.append(move)
        if move.is_void:
            continue
        move.facts["data"] = data
        if "animal_id" not in move.facts and _stands_already(outfit, event, data):
            move.facts, move.is_void = {}, True
    return rows


def events_naming(outfit: Outfit, animal_id: UUID) -> list[Event]:
    """The standing events whose data name an animal."""
    names = Q(*((f"data__{key}", str(animal_id)) for key in POINTERS), _connector=Q.OR)
    return list(Event.objects.of(outfit).filter(names, kind__in=POINTING).order_by("pk"))


def _stands_already(outfit: Outfit, event: Event, data: dict[str, Any]) -> bool:
    twin = Event(kind=event.kind, happened_on=event.happened_on, weight_ng=event.weight_ng, data=data)
    if event.happened_on is None:
        return False
    rows = Event.objects.of(outfit).filter(animal=event.animal_id, kind=event.kind, happened_on=event.happened_on)
    return any(sameness(one) == sameness(twin) for one in rows.exclude(pk=event.pk))


def facts_taken(outfit: Outfit, both: Twofold, choices: MergeChoices, reason: str) -> Iterator[Edit]:
    """The facts in which the other record stands, each with the source it has there."""
    wanted = choices.facts_of_other
    sources = fact_sources(Change.objects.filter(outfit=outfit, subject_id=both.other.animal.pk))
    for one in both.differences:
        if one.takes_other if wanted is None else one.name in wanted:
            values = {column: getattr(both.other.animal, column) for column in FACTS[one.name]}
            yield Edit(both.kept.animal.pk, values, reason, sources.get(one.name, TYPED))


def fact_sources(changes: Any) -> dict[str, Source]:
    """For each column of a row, the source of the change that set it last and stands."""
    found: dict[str, Source] = {}
    for change in facts_of(changes):
        if change.action != Action.VOIDED:
            source = Source(change.source_file, change.source_line, change.source_row)
            found.update(dict.fromkeys(change.after or {}, source))
    return found


def moved_calves(both: Twofold, reason: str) -> Iterator[Edit]:
    """The other's calves, whose dam or sire is the record kept from now on."""
    yield from calves_of(both.other, both.kept.animal.pk, reason)


def calves_of(side: Side, parent_id: UUID, reason: str, only: frozenset[UUID] | None = None) -> Iterator[Edit]:
    """Edits that give the calves of a record another parent; `only` names some of them."""
    for calf in side.calves:
        if only is None or calf.pk in only:
            keys = [key for key in ("dam_id", "sire_id") if getattr(calf, key) == side.animal.pk]
            yield Edit(calf.pk, dict.fromkeys(keys, parent_id), reason)
