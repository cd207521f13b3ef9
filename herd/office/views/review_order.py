"""The order in which findings come up: by kind as they are worth deciding, then as they were made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from herd.intake.models import Finding, FindingKind, ProcessingDay

KINDS = list(FindingKind)
Counts = Sequence[tuple[FindingKind, int]]


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the order, which outlives the finding that stood there."""

    kind: FindingKind
    id: UUID


def place_of(finding: Finding) -> Place:
    """Where a finding stands."""
    return Place(FindingKind(finding.kind), finding.pk)


def follow(day: ProcessingDay, asked: Mapping[str, Any], counts: Counts) -> Finding | None:
    """Return the finding that was asked for by place, id, neighbour or kind; else the first of all.

    `asked` may have place; or finding, an id as text; or kind, and with it after or before, the id of a
    finding of that kind. Costs at most two queries.
    """
    if asked.get("place"):
        return _after(day, asked["place"], counts) or first_of(day, counts)
    if asked.get("finding"):
        return _named(day, asked["finding"], counts) or first_of(day, counts)
    kind = asked.get("kind", "")
    if kind not in FindingKind.values:
        return first_of(day, counts)
    for name, step in (("after", _after), ("before", _before)):
        place = _place(kind, asked.get(name, ""))
        if place:
            return step(day, place, counts) or first_of(day, counts)
    return _open(day, kind).first() or first_of(day, counts)


def first_of(day: ProcessingDay, counts: Counts) -> Finding | None:
    """The first open finding."""
    kinds = [kind for kind, count in counts if count]
    return _open(day, kinds[0]).first() if kinds else None


def _open(day: ProcessingDay, kind: str) -> QuerySet[Finding]:
    return Finding.objects.filter(day=day, is_open=True, kind=kind).order_by("id")


def _place(kind: str, text: str) -> Place | None:
    try:
        return Place(FindingKind(kind), UUID(text))
    except ValueError:
        return None


def _named(day: ProcessingDay, text: str, counts: Counts) -> Finding | None:
    """The finding with this id; the next one where it is ruled meanwhile."""
    try:
        finding = Finding.objects.filter(day=day, pk=UUID(text)).first()
    except ValueError:
        return None
    if finding is None or finding.is_open:
        return finding
    return _after(day, place_of(finding), counts)


def _after(day: ProcessingDay, place: Place, counts: Counts) -> Finding | None:
    """The next open finding; after the last comes the first again."""
    found = _open(day, place.kind).filter(id__gt=place.id).first()
    if found:
        return found
    later = [kind for kind, count in counts if count and KINDS.index(kind) > KINDS.index(place.kind)]
    return _open(day, later[0]).first() if later else None


def _before(day: ProcessingDay, place: Place, counts: Counts) -> Finding | None:
    """The open finding before; before the first comes the last."""
    found = _open(day, place.kind).filter(id__lt=place.id).last()
    if found:
        return found
    kinds = [kind for kind, count in counts if count]
    earlier = [kind for kind in kinds if KINDS.index(kind) < KINDS.index(place.kind)]
    ending = (earlier or kinds)[-1:]
    return _open(day, ending[0]).last() if ending else None
