"""What only one row may have: a tag worn, an animal's EID, its place in a group, a sample's tube."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from herd.ledger.rows import in_steps
from herd.registry.models import SUBJECTS, Event, GroupMembership, Record, TagKind, TagWearing
from herd.registry.services.replaying.desk import Desk


@dataclass(frozen=True, slots=True)
class Claim:
    """One thing that one row of a table has: who claims it, by which columns, and the sentence where two do."""

    subject: str
    columns: tuple[str, ...]
    is_claimed: Callable[[Any], bool]
    says: str


CLAIMS = (
    Claim(TagWearing.SUBJECT, ("tag_id",), lambda row: not row.ended, "That tag is on another animal."),
    Claim(
        TagWearing.SUBJECT,
        ("animal_id",),
        lambda row: not row.ended and not row.is_second and row.kind == TagKind.EID,
        "The animal wears another EID by now.",
    ),
    Claim(
        GroupMembership.SUBJECT, ("animal_id",), lambda row: row.left_on is None, "It is in another group by now."
    ),
    Claim(
        Event.SUBJECT,
        ("supersedes_id",),
        lambda row: row.supersedes_id is not None,
        "Others had corrected it meanwhile.",
    ),
    Claim(
        Event.SUBJECT,
        ("tube",),
        lambda row: bool(row.kind == "sample" and row.tube),
        "That tube holds another animal's sample.",
    ),
)


def contested(desk: Desk) -> dict[UUID, str]:
    """Rows that come to stand where another stands already, each with the sentence that says so."""
    found: dict[UUID, str] = {}
    for claim in CLAIMS:
        coming = [row for row in _coming(desk, claim.subject) if claim.is_claimed(row)]
        holders = _holders(desk, claim, coming)
        for row in coming:
            others = holders[_key(claim, row)] - {row.pk}
            if others:
                found[row.pk] = claim.says
    return found


def _coming(desk: Desk, subject: str) -> list[Any]:
    rows = [*desk.new.values(), *desk.changed.values()]
    return [row for row in rows if subject == row.SUBJECT and not row.is_void]


def _key(claim: Claim, row: Record) -> tuple[Any, ...]:
    return tuple(getattr(row, name) for name in claim.columns)


def _holders(desk: Desk, claim: Claim, coming: Iterable[Record]) -> dict[tuple[Any, ...], set[UUID]]:
    """Who has each thing: rows of the table as they will be."""
    holders: dict[tuple[Any, ...], set[UUID]] = defaultdict(set)
    coming = list(coming)
    for row in coming:
        holders[_key(claim, row)].add(row.pk)
    first = claim.columns[0]
    for values in in_steps({getattr(row, first) for row in coming}):
        here = SUBJECTS[claim.subject].objects.of(desk.outfit).filter(**{f"{first}__in": values})
        for row in here:
            seen = desk.rows.get(row.pk, row)
            if not seen.is_void and claim.is_claimed(seen):
                holders[_key(claim, seen)].add(row.pk)
    return holders
