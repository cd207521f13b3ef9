"""Lines up rows that carry no number with the reader's rows of the same day, by time or by order."""

from dataclasses import dataclass
from statistics import median
from uuid import UUID

from herd.intake.matching.links import seconds_of
from herd.intake.matching.numbers import Row

# Further apart than this, once the clocks' difference is taken out, two rows are not the same head.
APART_SECONDS = 45


@dataclass(frozen=True, slots=True)
class Lineup:
    """Rows without numbers beside the rows they would belong to; `by` says how they were lined up."""

    by: str
    reader: str
    partners: dict[UUID, Row]
    reasons: tuple[str, ...]


def line_up(bare: list[Row], others: dict[UUID, list[Row]]) -> Lineup | None:
    """Find the file whose rows these belong to, or None. A person confirms it before anything is written.

    By time where both files have times: one partner each, in the same order, no two sharing one. By order only
    where both have the same number of rows.
    """
    best: Lineup | None = None
    for rows in others.values():
        heads = _first_reads(rows)
        found = _by_time(bare, heads) or _by_order(bare, heads)
        if found and (best is None or len(found.partners) > len(best.partners)):
            best = found
    return best


def _first_reads(rows: list[Row]) -> list[Row]:
    """The rows of a file, each head's first reading only."""
    seen: dict[str, Row] = {}
    for row in rows:
        seen.setdefault(row.numbers.key, row)
    return list(seen.values())


def _by_time(bare: list[Row], heads: list[Row]) -> Lineup | None:
    mine = [row for row in bare if row.readings.get("time")]
    theirs = sorted((row for row in heads if row.readings.get("time")), key=_second)
    if len(mine) < len(bare) or not mine or not theirs or len(mine) > len(theirs):
        return None
    shift = _usual_shift(mine, theirs)
    partners: dict[UUID, Row] = {}
    taken: set[UUID] = set()
    for row in mine:
        near = min(theirs, key=lambda one: abs(_second(row) - _second(one) - shift))
        if near.id in taken or abs(_second(row) - _second(near) - shift) > APART_SECONDS:
            return None
        taken.add(near.id)
        partners[row.id] = near
    reason = f"Each of the {len(mine)} lines lies within {APART_SECONDS} seconds of one line of {theirs[0].file_name}"
    if abs(shift) >= 5:
        reason += f", once the clocks' difference of {abs(round(shift))} seconds is taken out"
    return Lineup("time", theirs[0].file_name, partners, (reason + ".",))


def _usual_shift(mine: list[Row], theirs: list[Row]) -> float:
    """The clocks' difference: the median gap of rows paired by order where counts agree, else nought."""
    if len(mine) != len(theirs):
        return 0.0
    return median(
        _second(one) - _second(other) for one, other in zip(sorted(mine, key=_second), theirs, strict=True)
    )


def _by_order(bare: list[Row], heads: list[Row]) -> Lineup | None:
    if len(bare) != len(heads) or len(bare) < 2:
        return None
    partners = {row.id: head for row, head in zip(bare, heads, strict=True)}
    reason = f"Both files have {len(bare)} head, so the first line would be the first head, and so on."
    return Lineup("order", heads[0].file_name, partners, (reason, "Nothing but the order says so."))


def _second(row: Row) -> int:
    return seconds_of(row.readings["time"])
