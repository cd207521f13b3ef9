"""What a split does to each row: what moves to the second animal, and what the merge had changed besides."""

from collections.abc import Iterable, Iterator
from typing import Any
from uuid import UUID

from herd.accounts.models import Outfit
from herd.ledger.entry import TYPED
from herd.ledger.models import Action, Change
from herd.registry.models import Animal, Record, TagKind
from herd.registry.queries.merged import Parts, written_by_merge
from herd.registry.queries.twofold import Side
from herd.registry.services.batch import EDITABLE_FACTS, Edit
from herd.registry.services.merge_rows import Move, calves_of, fact_sources
from herd.registry.services.refused import Refusal, Refused
from herd.registry.services.work import column_value, plain
from herd.registry.services.write_merges import MOVING

# What decides whether a tag or a membership is open; of each animal one first EID and one membership are.
OPENING = ("ended", "worn_to", "left_on", "is_second", "second_reason")

Claim = tuple[UUID, str]


def parts_moved(kept: Side, second_id: UUID, parts: Parts) -> list[Move]:
    """The chosen rows on their way to the second animal; ids of anything else are passed over."""
    chosen = parts.wearings | parts.stays | parts.events
    rows = (*kept.wearings, *kept.stays, *kept.events)
    return [Move(row, {"animal_id": second_id}) for row in rows if row.pk in chosen]


def split_calves(kept: Side, second_id: UUID, parts: Parts, reason: str) -> Iterator[Edit]:
    """The chosen calves, whose dam or sire is the second animal."""
    yield from calves_of(kept, second_id, reason, parts.calves)


def put_back(outfit: Outfit, kept: Side, merged_id: UUID | None, moves: list[Move]) -> tuple[list[Edit], list[Move]]:
    """Set back what the merge changed, as far as nothing was written over it since.

    1. ends, seconds and names of animals in events go back with their row; 2. events and memberships that were
    counted once count twice again; 3. facts taken from the other go back; 4. nothing is opened beside another
    that is open; 5. who has only a second EID has it as the first.
    """
    edits: list[Edit] = []
    set_back: list[Move] = []
    if merged_id is not None:
        written = written_by_merge(outfit, merged_id)
        if not written:
            raise Refused([Refusal("That record is not merged into this one.", "merged")])
        edits = list(_facts_back(outfit, kept.animal, written))
        set_back = list(_rows_back(outfit, kept.animal, written, {move.row.pk: move for move in moves}))
    moves = [*moves, *(move for move in set_back if all(move is not one for one in moves))]
    _keep_one_open(kept, moves, {move.row.pk for move in set_back})
    _make_firsts(kept, moves)
    return edits, [move for move in moves if move.facts or move.is_void is not None]


def _facts_back(outfit: Outfit, animal: Animal, written: list[Change]) -> Iterator[Edit]:
    for change in written:
        if change.subject_id == animal.pk:
            back = {name: value for name, value in _back(animal, change).items() if name in EDITABLE_FACTS}
            earlier = Change.objects.filter(outfit=outfit, subject_id=animal.pk, position__lt=change.position)
            sources = fact_sources(earlier)
            if back:
                yield Edit(animal.pk, back, change.reason, sources.get(next(iter(back)), TYPED))


def _back(row: Record, change: Change) -> dict[str, Any]:
    """What a change set and still stands, as it was before; the animal a row is about stays out of it."""
    before, after = change.before or {}, change.after or {}
    return {
        name: column_value(row, name, before.get(name))
        for name, value in after.items()
        if name not in ("animal_id", "is_void") and plain(getattr(row, name)) == value
    }


def _rows_back(outfit: Outfit, kept: Animal, written: list[Change], moves: dict[UUID, Move]) -> Iterator[Move]:
    rows = _rows_of(outfit, written)
    for change in written:
        row = rows.get(change.subject_id)
        if row is None:
            continue
        if change.action == Action.VOIDED and row.is_void:
            yield Move(row, is_void=False)
        elif change.action == Action.CHANGED and row.pk in moves:
            move = moves[row.pk]
            move.facts |= _back(row, change)
            yield move
        elif change.action == Action.CHANGED and "animal_id" not in (change.after or {}):
            yield Move(row, _back(row, change))


def _rows_of(outfit: Outfit, written: list[Change]) -> dict[UUID, Any]:
    found: dict[UUID, Any] = {}
    for subject, model in MOVING.items():
        ids = [change.subject_id for change in written if change.subject_kind == subject]
        found.update(model.objects.filter(outfit=outfit).in_bulk(ids))
    return found


def _keep_one_open(kept: Side, moves: list[Move], set_back: set[UUID]) -> None:
    """Leave ended what would be open beside another: what was not set back comes first."""
    by_row = {move.row.pk: move for move in moves}
    untouched = [Move(row) for row in (*kept.wearings, *kept.stays) if row.pk not in by_row]
    taken: set[Claim] = set()
    for move in (*untouched, *(one for one in moves if one.row.pk not in set_back)):
        taken.update(_claims(move))
    for move in (one for one in moves if one.row.pk in set_back):
        wanted = set(_claims(move))
        if not wanted & taken:
            taken |= wanted
        elif move.is_void is False:
            move.is_void = None
        else:
            move.facts = {name: value for name, value in move.facts.items() if name not in OPENING}
            taken.update(_claims(move))


def _claims(move: Move) -> Iterable[Claim]:
    """What a row would hold open, and for which animal."""
    row: Any = move.row
    animal_id: UUID = move.facts.get("animal_id", row.about)
    is_out = row.is_void if move.is_void is None else move.is_void
    if not is_out and row.SUBJECT == "membership" and move.facts.get("left_on", row.left_on) is None:
        yield animal_id, "stay"
    elif not is_out and _is_open_eid(move) and not move.facts.get("is_second", row.is_second):
        yield animal_id, "eid"


def _is_open_eid(move: Move) -> bool:
    row: Any = move.row
    return row.SUBJECT == "wearing" and row.kind == TagKind.EID and not move.facts.get("ended", row.ended)


def _make_firsts(kept: Side, moves: list[Move]) -> None:
    by_row = {move.row.pk: move for move in moves}
    worn = [by_row.get(row.pk) or Move(row) for row in kept.wearings]
    firsts = {claim[0] for move in worn for claim in _claims(move)}
    for move in worn:
        owner = move.facts.get("animal_id", kept.animal.pk)
        if _is_open_eid(move) and owner not in firsts:
            firsts.add(owner)
            move.facts |= {"is_second": False, "second_reason": ""}
            if move.row.pk not in by_row:
                moves.append(move)
