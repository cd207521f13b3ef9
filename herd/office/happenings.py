"""What was written in an outfit, newest first: changesets of the herd and changes to the outfit itself, as one list."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from heapq import merge
from itertools import islice
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from herd.accounts.models import Outfit, OutfitChange, OutfitChangeKind
from herd.ledger.models import Change, Changeset, ChangesetKind

NOBODY = "none"
STEP = 500
Happening = Changeset | OutfitChange


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for: `who` is an id or NOBODY, days are the outfit's own, `animals` None for any."""

    who: str = ""
    kind: str = ""
    since: date | None = None
    until: date | None = None
    animals: Sequence[UUID] | None = None


def writers_of(outfit: Outfit) -> list[tuple[str, str]]:
    """Everyone who ever wrote, by name, with the id to ask by; the installation itself last."""
    found: dict[str, str] = {}
    for model in (Changeset, OutfitChange):
        rows: Any = model.objects.filter(outfit=outfit).order_by()
        for person_id, name in rows.values_list("person_id", "person_name").distinct():
            found[str(person_id) if person_id else NOBODY] = name if person_id else "the installation"
    return sorted(found.items(), key=lambda one: (one[0] == NOBODY, one[1].casefold()))


def some_of(outfit: Outfit, asked: Asked, before: UUID | None, most: int) -> list[Happening]:
    """At most so many, from the one after `before` on."""
    return list(islice(_merged(_queries(outfit, asked), _place_of(outfit, before), most), most))


def all_of(outfit: Outfit, asked: Asked) -> Iterator[Happening]:
    """All, in steps that keep memory flat."""
    place: tuple[datetime, UUID] | None = None
    queries = _queries(outfit, asked)
    while some := list(islice(_merged(queries, place, STEP), STEP)):
        yield from some
        place = _key(some[-1])


def _key(one: Happening) -> tuple[datetime, UUID]:
    return one.recorded_at, one.pk


def _merged(
    queries: list[QuerySet[Any]], place: tuple[datetime, UUID] | None, most: int
) -> Iterator[Happening]:
    if place is not None:
        moment, last = place
        queries = [rows.filter(Q(recorded_at__lt=moment) | Q(recorded_at=moment, pk__lt=last)) for rows in queries]
    return merge(*(list(rows[:most]) for rows in queries), key=_key, reverse=True)


def _place_of(outfit: Outfit, before: UUID | None) -> tuple[datetime, UUID] | None:
    """The place in the list of the one with this id; the beginning where the outfit has none."""
    if before is None:
        return None
    for model in (Changeset, OutfitChange):
        rows: Any = model.objects.filter(outfit=outfit, pk=before)
        if found := rows.first():
            return _key(found)
    return None


def _queries(outfit: Outfit, asked: Asked) -> list[QuerySet[Any]]:
    """The tables that can answer, each with its rows in order."""
    queries: list[QuerySet[Any]] = []
    if asked.kind not in OutfitChangeKind.values:
        rows = _narrowed(Changeset.objects.all(), outfit, asked)
        if asked.animals is not None:
            about = Change.objects.filter(outfit=outfit, animal_id__in=asked.animals)
            rows = rows.filter(pk__in=about.order_by().values("changeset_id"))
        queries.append(rows)
    if asked.kind not in ChangesetKind.values and asked.animals is None:
        queries.append(_narrowed(OutfitChange.objects.all(), outfit, asked))
    return queries


def _narrowed(rows: QuerySet[Any], outfit: Outfit, asked: Asked) -> QuerySet[Any]:
    rows = rows.filter(outfit=outfit).order_by("-recorded_at", "-id")
    if asked.kind:
        rows = rows.filter(kind=asked.kind)
    if asked.who:
        rows = rows.filter(person=None) if asked.who == NOBODY else rows.filter(person=asked.who)
    if asked.since:
        rows = rows.filter(recorded_at__gte=datetime.combine(asked.since, time.min, outfit.zone))
    if asked.until:
        # The next day's beginning rather than 24 hours on: days are 23 or 25 hours long where clocks change.
        rows = rows.filter(recorded_at__lt=datetime.combine(asked.until + timedelta(days=1), time.min, outfit.zone))
    return rows
